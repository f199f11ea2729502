/* The ways without an intake: a file, a mail with the reply pasted or to be attached, the clipboard. */
const LONGEST_MAIL = 1800 // Characters of a mail address with its text that every mail program takes.

function replyText(reply) {
  return JSON.stringify(reply, null, 1)
}

function fileName(reply) {
  return `reply-${reply.id.slice(0, 8)}.json`
}

function saveReply(reply) {
  const address = URL.createObjectURL(new Blob([replyText(reply) + "\n"], { type: "application/json" }))
  const link = make("a", { href: address, download: fileName(reply), hidden: true })
  document.body.append(link)
  link.click()
  link.remove()
  setTimeout(() => URL.revokeObjectURL(address), 60000)
}

/* Returns an address that opens a mail, and whether the reply stands in it. */
function mailOf(mail, reply, title) {
  const subject = `Reply: ${title}`
  const written = body => `mailto:${mail}?subject=${encodeURIComponent(subject)}&body=${encodeURIComponent(body.replaceAll("\n", "\r\n"))}`
  const whole = written(`${replyText(reply)}\n`)
  if (whole.length <= LONGEST_MAIL) return { address: whole, pasted: true }
  return { address: written(`Please attach the file ${fileName(reply)} that the page saved.\n`), pasted: false }
}
