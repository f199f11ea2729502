/* Floats, and rows of floats or truths, reckoned without Python's detours: the module `standins/quick.py` in the browser.

   The engine keeps a float as an object with its `value`, a whole number as a number of JavaScript and a truth as one of
   JavaScript. Whatever is met here that is none of these, or that Python refuses, goes the way it went before: to the
   engine's own signs, or to the function in Python. A division by nought in a row has IEEE 754's answer, as numpy's has. */
(brython => {
  const { float, list } = brython.builtins
  const { Float, DICT, builtin_function_or_method: builtin } = brython
  let kind = null // the class of rows

  /* Returns what a float or whole number is worth; undefined for all else. */
  const worth = one => one?.ob_type === float ? one.value : typeof one === "number" ? one : undefined
  const places = one => one?.ob_type === kind ? one[DICT].items : undefined
  const row = items => {
    items.ob_type = list
    return { ob_type: kind, [DICT]: { items } }
  }

  const SIGNS = {
    __add__: (one, two) => one + two,
    __sub__: (one, two) => one - two,
    __mul__: (one, two) => one * two,
    __truediv__: (one, two) => one / two,
    __pow__: (one, two) => isFinite(one) && isFinite(two) && (one > 0 || one < 0 && Number.isInteger(two) || one === 0 && two > 0) ? one ** two : undefined,
  }
  const COMPARED = {
    __lt__: (one, two) => one < two,
    __le__: (one, two) => one <= two,
    __gt__: (one, two) => one > two,
    __ge__: (one, two) => one >= two,
    __eq__: (one, two) => one === two,
    __ne__: (one, two) => one !== two,
  }
  const TRUTHS = {
    __and__: (one, two) => one && two,
    __or__: (one, two) => one || two,
    __xor__: (one, two) => one !== two,
  }

  /* Returns the float that a sign makes of two numbers of which one at least is a float; undefined if they are not. */
  function reckoned(sign, one, two) {
    const left = worth(one), right = worth(two)
    if (left === undefined || right === undefined || typeof one === "number" && typeof two === "number") return undefined
    const made = sign(left, right)
    return made === undefined ? undefined : new Float(made)
  }

  function compared(sign, one, two) {
    const left = worth(one), right = worth(two)
    return left === undefined || right === undefined ? undefined : sign(left, right)
  }

  function decided(sign, one, two) {
    return typeof one === "boolean" && typeof two === "boolean" ? sign(one, two) : undefined
  }

  /* Returns the row of what is made of two, place by place; undefined where one place cannot be made, or lengths differ. */
  function along(made, sign, one, two) {
    const left = places(one), right = places(two)
    const length = (left || right).length
    if (left && right && left.length !== right.length) return undefined
    const found = new Array(length)
    for (let place = 0; place < length; place += 1) {
      const each = made(sign, left ? left[place] : one, right ? right[place] : two)
      if (each === undefined) return undefined
      found[place] = each
    }
    return row(found)
  }

  const isRow = one => kind !== null && one?.ob_type === kind

  function operated(op, one, two) {
    const sign = SIGNS[op], truth = TRUTHS[op]
    if (sign) {
      if (isRow(one) || isRow(two)) return along(reckoned, sign, one, two)
      if (op === "__truediv__" && worth(two) === 0) return undefined // Python raises an error.
      return reckoned(sign, one, two)
    }
    if (truth) return isRow(one) || isRow(two) ? along(decided, truth, one, two) : decided(truth, one, two)
    return undefined
  }

  const { rich_op, rich_comp, augm_assign } = brython
  brython.rich_op = (op, one, two, inum) => operated(op, one, two) ?? rich_op(op, one, two, inum)
  brython.rich_comp = (op, one, two) => {
    const sign = COMPARED[op]
    const found = isRow(one) || isRow(two) ? along(compared, sign, one, two) : compared(sign, one, two)
    return found ?? rich_comp(op, one, two)
  }
  const AUGMENTED = { "+=": "__add__", "-=": "__sub__", "*=": "__mul__", "/=": "__truediv__" }
  brython.augm_assign = (one, op, two) => (AUGMENTED[op] && operated(AUGMENTED[op], one, two)) ?? augm_assign(one, op, two)

  /* Returns a function of a float, or of a row of floats. */
  const each = (of, made = value => new Float(of(value))) => one => {
    if (one?.ob_type === float) return made(one.value)
    const items = places(one)
    if (!items) return undefined
    const found = new Array(items.length)
    for (let place = 0; place < items.length; place += 1) {
      if (items[place]?.ob_type !== float) return undefined
      found[place] = made(items[place].value)
    }
    return row(found)
  }

  /* Of two numbers the one that is wanted, no number where one of them is none; as it came, so that whole ones stay so. */
  const chosen = wanted => {
    const pick = (_, one, two) => {
      const left = worth(one), right = worth(two)
      if (left === undefined || right === undefined) return undefined
      return wanted(left, right) || left !== left ? one : two
    }
    return (one, two) => isRow(one) || isRow(two) ? along(pick, null, one, two) : pick(null, one, two)
  }

  function where(held, yes, no) {
    const truths = places(held), ones = places(yes), others = places(no)
    if (typeof held === "boolean") {
      const taken = held ? yes : no
      return ones || others ? places(taken) ? taken : row(new Array((ones || others).length).fill(taken)) : taken
    }
    if (!truths || ones && ones.length !== truths.length || others && others.length !== truths.length) return undefined
    const found = new Array(truths.length)
    for (let place = 0; place < truths.length; place += 1) {
      if (typeof truths[place] !== "boolean") return undefined
      found[place] = truths[place] ? ones ? ones[place] : yes : others ? others[place] : no
    }
    return row(found)
  }

  const truth = whole => held => {
    if (typeof held === "boolean") return held
    const truths = places(held)
    if (!truths) return undefined
    for (const one of truths) {
      if (typeof one !== "boolean") return undefined
      if (one !== whole) return !whole
    }
    return whole
  }

  const extreme = wanted => items => {
    let found = items[0]
    for (const one of items) {
      if (one?.ob_type !== float) return undefined
      if (one.value !== one.value) return one
      if (wanted(one.value, found.value)) found = one
    }
    return found
  }

  const FUNCTIONS = {
    sqrt: each(Math.sqrt), exp: each(Math.exp), log: each(Math.log), sin: each(Math.sin), cos: each(Math.cos),
    tan: each(Math.tan), arcsin: each(Math.asin), arccos: each(Math.acos), arctan: each(Math.atan),
    absolute: each(Math.abs), isfinite: each(null, Number.isFinite),
    minimum: chosen((one, two) => one <= two), maximum: chosen((one, two) => one >= two),
    where, all: truth(true), any: truth(false),
    least: extreme((one, two) => one < two), greatest: extreme((one, two) => one > two),
  }

  function quick(name, python) {
    const native = FUNCTIONS[name]
    if (!native) return python
    const made = (...given) => native(...given) ?? brython.$call(python, ...given)
    made.ob_type = builtin
    return made
  }

  function rows(given) {
    kind = given
    return brython.builtins.None
  }

  brython.addToImported("ledger.publishing.live.standins.quick", { quick, rows })
})(__BRYTHON__)
