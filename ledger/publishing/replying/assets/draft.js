/* What was written and not sent yet, kept in this browser under the page's own address. Where the browser keeps nothing,
   the form works without it. */
class Draft {
  constructor() {
    this.key = `witness-reply ${location.pathname}`
  }

  read() {
    try {
      const read = JSON.parse(localStorage.getItem(this.key))
      return read !== null && typeof read === "object" ? read : null
    } catch {
      return null
    }
  }

  /* Returns whether it is kept. */
  keep(values) {
    try {
      localStorage.setItem(this.key, JSON.stringify(values))
      return true
    } catch {
      return false
    }
  }

  drop() {
    try {
      localStorage.removeItem(this.key)
    } catch { /* Nothing was kept. */ }
  }
}

/* A random UUID of version 4; the browser's own function is there only on pages from a safe server. */
function newReplyId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16))
  bytes[6] = (bytes[6] & 0x0f) | 0x40
  bytes[8] = (bytes[8] & 0x3f) | 0x80
  const digits = Array.from(bytes, byte => byte.toString(16).padStart(2, "0")).join("")
  return [digits.slice(0, 8), digits.slice(8, 12), digits.slice(12, 16), digits.slice(16, 20), digits.slice(20)].join("-")
}

/* The reader's own day, 2031-05-17. */
function today() {
  const now = new Date()
  return [String(now.getFullYear()).padStart(4, "0"), String(now.getMonth() + 1).padStart(2, "0"), String(now.getDate()).padStart(2, "0")].join("-")
}
