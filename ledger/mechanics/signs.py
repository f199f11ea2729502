"""Numbers told with their sign."""


def signed(value, form):
    """Return a number as `form` tells it, with its sign also where it is not below nought: `+0.20` for 0.2 and `.2f`.

    As the sign `+` within a format does it, which the Python in a browser leaves out for some numbers.
    """
    text = format(value, form)
    return text if text.startswith("-") else f"+{text}"
