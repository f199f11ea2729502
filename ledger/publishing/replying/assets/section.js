/* The section at the foot of a page: opened by its button, sent to the intake or saved into a file, by what is set up.

   A page opened by double click has no origin that an intake could know: there a reply is saved into a file. */
const PAUSE = 300 // ms after which a draft is kept

class ReplySection {
  constructor(section, data, numbers) {
    Object.assign(this, { section, data })
    this.draft = new Draft()
    this.posts = data.intake !== null && location.protocol !== "file:"
    this.form = new Form(data, numbers, () => this.later())
    this.alert = make("p", { class: "wl-reply-fault", role: "alert", hidden: true })
    this.said = make("p", { role: "status" })
    this.bar = make("progress", { max: 1, value: 0, hidden: true, "aria-label": "Work done" })
    this.stop = make("button", { type: "button", hidden: true, onclick: () => this.stopping?.abort() }, "Stop")
    this.send = this.posts ? make("button", { type: "submit", class: "wl-reply-first" }, "Send") : null
    this.save = make("button", this.posts ? { type: "button", onclick: () => this.saved() } : { type: "submit", class: "wl-reply-first" }, "Save as a file")
    this.discard = make("button", { type: "button", onclick: () => this.discarded() }, "Discard")
    this.way = make("div", { class: "wl-reply-way", hidden: true, tabindex: -1 })
    this.form.element.append(this.alert, make("p", { class: "wl-reply-buttons" }, this.send, this.save, this.discard),
      make("div", { class: "wl-reply-going" }, this.said, this.bar, this.stop))
    this.form.element.addEventListener("submit", event => {
      event.preventDefault()
      if (this.posts) this.sent()
      else this.saved()
    })
    const kept = this.draft.read()
    if (kept) {
      this.form.values = kept
      this.going("What you had written before stands in the fields again.")
    }
    addEventListener("pagehide", () => this.keep())
    section.append(this.form.element, this.way)
  }

  later() {
    clearTimeout(this.timer)
    this.timer = setTimeout(() => this.keep(), PAUSE)
  }

  keep() {
    clearTimeout(this.timer)
    if (this.done) return
    if (this.form.empty) this.draft.drop()
    else this.draft.keep(this.form.values)
  }

  going(words, share = null) {
    this.said.textContent = words
    this.bar.hidden = share === null
    this.bar.value = share ?? 0
  }

  tell(lines) {
    this.alert.textContent = lines.join(" ")
    this.alert.hidden = !lines.length
  }

  /* Returns the reply where nothing is wrong with it, else null, having said what is. */
  ready() {
    const wrongs = this.form.wrongs()
    const others = this.form.tell(wrongs)
    this.tell(wrongs.length ? [wrongs.length === 1 ? "One thing is to be mended." : `${wrongs.length} things are to be mended.`, ...others] : [])
    this.going("")
    return wrongs.length ? null : this.form.reply
  }

  async sent() {
    if (this.stopping) return
    const reply = this.ready()
    if (!reply) return
    this.keep()
    this.way.hidden = true
    this.stopping = new AbortController()
    this.busy(true)
    try {
      const taken = await sendReply(this.data.intake, reply, (words, share) => this.going(words, share), this.stopping.signal)
      this.thank(taken.id)
    } catch (error) {
      this.refused(error, reply)
    } finally {
      this.stopping = null
      this.busy(false)
    }
  }

  busy(is) {
    this.send.disabled = is
    this.stop.hidden = !is
    this.form.element.setAttribute("aria-busy", String(is))
  }

  thank(id) {
    this.done = true
    this.draft.drop()
    this.form.element.remove()
    this.way.replaceChildren(make("p", {}, make("strong", {}, "Thank you. "), "Your reply was taken. Its author reads it and decides on it; if it is accepted and you consented, it will stand here in a later edition."),
      make("p", {}, "Its number, should you want to ask for it to be changed or forgotten: ", make("code", {}, id)))
    this.way.hidden = false
    this.way.focus()
  }

  refused(error, reply) {
    if (error instanceof Stopped) {
      this.going("Stopped. Nothing was sent.")
      return
    }
    if (!(error instanceof NotTaken)) throw error
    this.going("")
    if (error.status === 409) this.form.id = newReplyId()
    const faults = error.faults.filter(one => one && ["field", "given", "expected", "remedy"].every(name => typeof one[name] === "string"))
    const others = this.form.tell(faults)
    this.tell([`It was not sent. ${error.message}`, error.status === 409 ? "It has an id of its own now: send it again." : "", ...others].filter(Boolean))
    this.offer(reply, "You can save it as a file instead, or send it again later: a draft is kept in this browser.")
  }

  saved() {
    const reply = this.ready()
    if (!reply) return
    this.keep()
    saveReply(reply)
    this.offer(reply, `It was saved as ${fileName(reply)}, as far as your browser saves files.`)
    this.way.focus()
  }

  /* Says how the reply gets to the author without an intake. */
  offer(reply, words) {
    const copied = make("span", { role: "status" })
    const copy = make("button", { type: "button" }, "Copy the reply")
    const whole = make("textarea", { readonly: true, rows: 5, hidden: true, "aria-label": "The reply" })
    copy.addEventListener("click", async () => {
      whole.value = replyText(reply)
      try {
        await navigator.clipboard.writeText(whole.value)
        copied.textContent = " Copied."
      } catch {
        whole.hidden = false
        whole.select()
        copied.textContent = " Copy it from the field."
      }
    })
    const { mail, title } = this.data
    const how = mail ? this.byMail(mail, reply, title) : "Send the file, or the copied text, to the author of these pages by whatever way you know."
    this.way.replaceChildren(make("p", {}, words), make("p", {}, how), make("p", { class: "wl-reply-buttons" }, copy, copied), whole)
    this.way.hidden = false
  }

  byMail(mail, reply, title) {
    const { address, pasted } = mailOf(mail, reply, title)
    return [make("a", { href: address }, `Write a mail to ${mail}`), pasted ? ": the reply stands in it already." : ` and attach ${fileName(reply)}, or paste the copied text.`]
  }

  discarded() {
    this.stopping?.abort()
    this.draft.drop()
    this.form.values = { id: newReplyId() }
    this.form.tell([])
    this.tell([])
    this.way.hidden = true
    this.going("Discarded.")
  }
}

/* For tests and other scripts of the page: what the form makes, and the pure functions below it. */
globalThis.witnessReply = { sha256, prove, wrongsOf, changedNumbers, mailOf, Shares, open: null, section: null }

const place = document.querySelector(".wl-reply")
if (place) {
  const button = place.querySelector(".wl-reply-open")
  const data = JSON.parse(place.dataset.reply)
  const numbers = new Numbers()
  const open = () => {
    if (witnessReply.section) return
    document.head.append(make("link", { rel: "stylesheet", href: data.style }))
    button.remove()
    witnessReply.section = new ReplySection(place, data, numbers)
    witnessReply.section.form.stances[0].focus({ preventScroll: true })
  }
  witnessReply.open = open
  if (new Draft().read()) button.textContent = "Go on with what you wrote"
  button.hidden = false
  button.addEventListener("click", open)
}
