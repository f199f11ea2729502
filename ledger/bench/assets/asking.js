// Asking the server. What is wrong comes back as a list, whatever went wrong.

const LOST = { field: "", given: "", expected: "", remedy: "The bench does not answer. Is `witness bench` still running?" };

export async function get(path, given = {}) {
  return answered(() => fetch(`${path}?${new URLSearchParams(given)}`));
}

export async function send(path, data) {
  return answered(() => fetch(path, {
    method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(data),
  }));
}

export function photographAddress(file, as = "") {
  return `photograph?${new URLSearchParams(as ? { file, as } : { file })}`;
}

async function answered(call) {
  let response;
  try {
    response = await call();
  } catch {
    return { wrong: [LOST] };
  }
  if (response.headers.get("content-type")?.startsWith("application/json")) return response.json();
  return { wrong: [{ ...LOST, remedy: (await response.text()).trim() || LOST.remedy }] };
}

// Asks again and again as things change, one question at a time; only the answer to the latest counts.
// A quick question while things move, the whole one once they have been at rest for a moment.
// Dropped, what is still asked is not waited for.
export function following(ask, tell, rest = 350) {
  let busy = false;
  let round = 0;
  let wanted = 0;
  let timer = 0;

  async function run(quick) {
    if (busy) return;
    busy = true;
    const mine = round;
    let asked;
    do {
      asked = wanted;
      const answer = await ask(quick);
      if (mine !== round) return;
      if (asked === wanted) tell(answer, quick);
    } while (asked !== wanted);
    busy = false;
  }

  function drop() {
    round += 1;
    busy = false;
    clearTimeout(timer);
  }

  function again() {
    wanted += 1;
    run(true);
    clearTimeout(timer);
    timer = setTimeout(function whole() {
      if (busy) timer = setTimeout(whole, 50);
      else run(false);
    }, rest);
  }

  return { again, drop };
}
