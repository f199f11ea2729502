/* Ends of loops and missing keys without an error: the engine raises one for either, which costs as much as thirty turns
   of a loop, and catches it again at once. What is said here is what its own iterators say, but that one. */
;(brython => {
  const { dict, zip, enumerate, KeyError, None } = brython.builtins
  const { FAST_ITER, generator } = brython
  const returned = brython.generator_return(None).ob_type
  const over = { done: true, value: null }

  const going = next => (iterable, set_lineno, frame, lineno) => {
    const iterator = brython.$iter(iterable), kind = brython.get_class(iterator)
    return { [Symbol.iterator]() { return this }, next() { set_lineno(frame, lineno); return next(iterator, kind) } }
  }

  for (const kind of [dict, brython.dict_keys, brython.dict_values, brython.dict_items, zip, enumerate]) {
    kind[FAST_ITER] = going((iterator, its) => its.tp_iternext(iterator).next())
  }

  /* What `send` of a generator does, but that it returns where that raises StopIteration. */
  generator[FAST_ITER] = going(iterator => {
    const made = iterator.js_gen, its = iterator.$frame, before = brython.frame_obj
    if (made.$finished) return over
    if (made.gi_running === true) return generator.tp_funcs.send(iterator, None) // That raises the error it is.
    made.$has_run = made.gi_running = true
    if (its) brython.frame_obj = brython.push_frame(its)
    let found
    try {
      found = made.next(None)
    } catch (error) {
      made.$finished = true
      brython.frame_obj = before
      throw error
    }
    if (brython.frame_obj !== null && brython.frame_obj.frame === its) brython.leave_frame()
    brython.frame_obj = before
    if (found.done || found.value?.ob_type === returned) {
      made.$finished = true
      return over
    }
    made.gi_running = false
    return found
  })

  const { $getitem } = dict
  const missing = brython.EXC(KeyError, "missing")
  dict.$getitem = (held, key, asked) => {
    if (asked && !Object.hasOwn(held, brython.JSOBJ) && !dict.$contains(held, key)) throw missing
    return $getitem(held, key, asked)
  }
})(self.__BRYTHON__)
