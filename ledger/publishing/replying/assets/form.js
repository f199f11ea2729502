/* The fields: what is written in them as values, as a reply document, and what is wrong beside each. */
const STANCE_WORDS = {
  agree: "I agree",
  doubt: "I doubt it",
  "new-evidence": "I have new evidence",
  "another-hypothesis": "I have another hypothesis",
  correction: "Something is wrong and should be corrected",
}

class Form {
  constructor(data, numbers, changed) {
    this.data = data
    this.numbers = numbers
    this.id = newReplyId()
    this.faults = new Map()
    const stances = Object.entries(STANCE_WORDS).map(([stance, words]) => this.choice("radio", "stance", stance, words))
    this.stances = stances.map(one => one.input)
    this.text = make("textarea", { rows: 8, id: newId(), required: true })
    this.count = make("span", { class: "wl-number" })
    this.numbersPlace = make("fieldset", { hidden: true })
    this.attached = new Map()
    numbers.changed = () => this.tellNumbers()
    this.sliders = data.rivals.length ? new Sliders(data.rivals, data.question, changed) : null
    this.name = make("input", { type: "text", id: newId(), autocomplete: "name" })
    const credits = [["named", "Credit me by this name"], ["anonymous", "Credit “a reader”, without my name"]].map(([value, words]) => this.choice("radio", "credit", value, words))
    this.credits = credits.map(one => one.input)
    this.credits[1].checked = true
    const consent = this.choice("checkbox", "consent", "yes", "My words may be published on this site, credited so")
    this.consent = consent.input
    this.contact = make("input", { type: "text", id: newId(), autocomplete: "email" })
    this.element = make("form", { class: "wl-reply-form", novalidate: true },
      this.group("What do you say?", stances, this.fault("stance", ...this.stances)),
      this.field("Your words", this.text, "text", "Plain text or Markdown. ", this.count),
      this.numbersPlace,
      this.sliders?.element, this.sliders && this.fault("confidences"),
      make("fieldset", {}, make("legend", {}, "Who says it"),
        this.field("Name, or nothing", this.name, "name"),
        credits.map(one => one.element), this.fault("credit", ...this.credits),
        consent.element,
        this.field("An address for a question back, or nothing", this.contact, "contact", "Never published.")))
    this.element.addEventListener("input", () => { this.tellCount(); changed() })
    this.element.addEventListener("change", changed)
    this.tellCount()
    this.tellNumbers()
  }

  choice(type, name, value, words) {
    const input = make("input", { type, name, value, id: newId() })
    return { input, element: make("p", { class: "wl-reply-choice" }, input, make("label", { for: input.id }, words)) }
  }

  group(legend, choices, ...rest) {
    return make("fieldset", {}, make("legend", {}, legend), choices.map(one => one.element), rest)
  }

  field(label, control, name, hint = "", ...more) {
    const about = hint && make("p", { class: "wl-note", id: newId() }, hint, ...more)
    if (about) control.setAttribute("aria-describedby", about.id)
    return make("div", { class: "wl-reply-field" }, make("label", { for: control.id }, label), control, about, this.fault(name, control))
  }

  fault(name, ...controls) {
    const place = faultPlace(...controls)
    this.faults.set(name, { place, controls })
    return place
  }

  tellCount() {
    const signs = [...this.text.value].length
    this.count.textContent = `${signs.toLocaleString("en-US")} of ${LONGEST.toLocaleString("en-US")} characters.`
  }

  /* Offers the numbers that were set otherwise; those of this page are attached unless the reader says no. */
  tellNumbers() {
    const pages = Object.entries(this.numbers.all)
    const before = new Map([...this.attached].map(([page, input]) => [page, input.checked]))
    this.attached.clear()
    const shown = pages.map(([page, { title, inputs }]) => {
      const { input, element } = this.choice("checkbox", "numbers", page, `Attach your numbers in “${title}”`)
      input.checked = before.get(page) ?? this.wanted?.includes(page) ?? page === this.data.about
      this.attached.set(page, input)
      const lines = Object.entries(inputs).map(([name, text]) => make("li", {}, `${name.replaceAll("_", " ")}: ${text}`))
      return [element, make("ul", { class: "wl-reply-lines" }, lines)]
    })
    const place = this.faults.get("inputs")?.place ?? this.fault("inputs")
    this.numbersPlace.replaceChildren(make("legend", {}, "Your own numbers"), ...shown.flat(), place)
    this.numbersPlace.hidden = !pages.length
  }

  get values() {
    return {
      id: this.id, stance: this.stances.find(one => one.checked)?.value ?? null, text: this.text.value, points: this.sliders?.values ?? null,
      numbers: this.pages, name: this.name.value, credit: this.credits.find(one => one.checked).value, consent: this.consent.checked, contact: this.contact.value,
    }
  }

  set values(kept) {
    const words = value => (typeof value === "string" ? value : "")
    if (WORDS.uuid[0].test(words(kept.id))) this.id = kept.id
    for (const one of this.stances) one.checked = one.value === kept.stance
    this.text.value = words(kept.text)
    if (this.sliders) this.sliders.values = kept.points ?? null
    this.wanted = Array.isArray(kept.numbers) ? kept.numbers : undefined
    this.attached.clear()
    this.tellNumbers()
    this.name.value = words(kept.name)
    for (const one of this.credits) one.checked = one.value === (kept.credit === "named" ? "named" : "anonymous")
    this.consent.checked = kept.consent === true
    this.contact.value = words(kept.contact)
    this.tellCount()
  }

  get empty() {
    const { stance, text, points, name, contact } = this.values
    return stance === null && points === null && !(text + name + contact).trim()
  }

  get pages() {
    return [...this.attached].filter(([, input]) => input.checked).map(([page]) => page)
  }

  /* The reply document as it stands in the fields. */
  get reply() {
    const { id, stance, text, name, credit, consent, contact } = this.values
    return {
      version: this.data.version, id, about: this.data.about, edition: this.data.edition, stance, text,
      confidences: this.sliders?.confidences ?? {},
      inputs: Object.fromEntries(this.pages.map(page => [page, { ...this.numbers.all[page].inputs }])),
      name: name.trim() === "" ? null : name.trim(), credit, contact: contact.trim() === "" ? null : contact.trim(), consent, sent: today(),
    }
  }

  /* Everything that is wrong with the reply; what a credit by name needs is the page's own concern. */
  wrongs() {
    const { reply } = this
    const found = wrongsOf(reply)
    if (reply.credit === "named" && reply.name === null) found.push({ field: "name", given: "nothing", expected: "a name to credit", remedy: "Write one, or choose “a reader”." })
    return found
  }

  /* Shows what is wrong beside its field; returns what belongs to none. */
  tell(wrongs) {
    const left = []
    for (const { place, controls } of this.faults.values()) {
      place.hidden = true
      place.textContent = ""
      for (const one of controls) one.removeAttribute("aria-invalid")
    }
    for (const wrong of wrongs) {
      const [name, ...inner] = wrong.field.replace(/^reply\./, "").split(".")
      const found = this.faults.get(name)
      const words = `${inner.length ? `${inner.join(".")}: ` : ""}Given ${wrong.field === "stance" ? "nothing" : wrong.given}; expected ${wrong.field === "stance" ? "one of these" : wrong.expected}. ${wrong.remedy}`
      if (!found) {
        left.push(`${wrong.field ? `${wrong.field}: ` : ""}${words}`)
        continue
      }
      found.place.textContent = [found.place.textContent, words].filter(Boolean).join(" ")
      found.place.hidden = false
      for (const one of found.controls) if (one.type !== "radio") one.setAttribute("aria-invalid", "true")
    }
    const first = [...this.faults.values()].find(one => !one.place.hidden)
    first?.controls[0]?.focus()
    return left
  }
}
