// The desk: what is done here becomes a mark in the file beside the sheet, and the page follows the sheet and its marks.
//
// Nothing is decided here: each action is sent with the version of the page on which it was done, and is refused where
// the sheet or its marks are others by then.
(() => {
  "use strict";
  const desk = document.getElementById("page:desk");
  const within = (selector) => desk.querySelector(selector);
  const words = document.getElementById("page:words");
  const form = within("form");
  const here = location.pathname;

  // What the server says of the page that is shown.
  let version = "";
  let lines = [];
  let byAddress = new Map();
  // The address of the line that is chosen, and what is being written about which line.
  let chosen = "";
  let writing = null;
  // Actions that are not done yet, in their order.
  const waiting = [];
  let isSending = false;
  let working = Promise.resolve();
  let isOver = false;

  const isQueried = (line) => line.query === "open" || line.query === "answered";
  const counts = {
    check: (line) => line.needs && line.tick !== "ticked",
    changed: (line) => line.tick === "changed",
    query: isQueried,
    inherited: (line) => line.inherited,
  };
  const can = {
    tick: (line) => line.needs && !line.own,
    untick: (line) => line.own,
    accept: (line) => line.inherited,
    query: () => true,
    answer: isQueried,
    close: isQueried,
  };
  const shortcuts = { t: "tick", i: "accept", q: "query", a: "answer", c: "close" };

  function state(line) {
    const said = [];
    if (line.tick === "changed") said.push("changed since ticked");
    else if (line.tick === "ticked") said.push(line.own ? "ticked" : "ticked by others");
    else if (line.needs) said.push("to check");
    if (line.query) said.push(`query ${line.query}`);
    if (line.inherited) said.push("inherited");
    return said.join(", ");
  }

  function say(text, isBad = false) {
    const news = within(".news");
    news.textContent = text;
    news.classList.toggle("is-bad", isBad);
  }

  // Takes over what the server says, and lays a box before each line that needs a tick.
  function lay() {
    version = desk.dataset.version;
    lines = JSON.parse(desk.dataset.lines);
    byAddress = new Map(lines.map((line) => [line.address, line]));
    for (const line of lines) {
      const element = document.getElementById(line.address);
      if (!element) continue;
      element.classList.add("markable");
      if (!line.needs) continue;
      const box = document.createElement("button");
      box.type = "button";
      box.className = "box";
      box.classList.toggle("is-ticked", line.tick === "ticked");
      box.classList.toggle("is-changed", line.tick === "changed");
      box.classList.toggle("is-others", line.tick === "ticked" && !line.own);
      box.setAttribute("aria-pressed", String(line.own));
      box.setAttribute("aria-label", `tick line ${line.number}`);
      element.prepend(box);
    }
    for (const order of waiting) wait(order.line);
    for (const [name, counted] of Object.entries(counts)) {
      const button = within(`[data-next=${name}]`);
      const count = lines.filter(counted).length;
      button.querySelector("b").textContent = String(count);
      button.disabled = count === 0;
    }
    show();
  }

  // Shows which line is chosen, and what can be done to it.
  function show() {
    document.querySelector(".is-chosen")?.classList.remove("is-chosen");
    const line = byAddress.get(chosen);
    if (line) document.getElementById(chosen)?.classList.add("is-chosen");
    within(".name").textContent = line ? `Line ${line.number}, ${line.address}` : "No line chosen";
    within(".state").textContent = line ? state(line) : "click one, or press n for the next to check";
    for (const [action, isPossible] of Object.entries(can)) {
      within(`[data-do=${action}]`).hidden = !line || !isPossible(line);
    }
  }

  function choose(address) {
    if (!byAddress.has(address) || chosen === address) return;
    chosen = address;
    show();
  }

  // Chooses the next line of a kind behind the one chosen, from the top again where there is none.
  function next(counted) {
    const at = lines.findIndex((line) => line.address === chosen);
    const found = lines.slice(at + 1).find(counted) ?? lines.find(counted);
    if (!found) return;
    const element = document.getElementById(found.address);
    for (let fold = element?.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
    element?.scrollIntoView({ block: "center" });
    (element?.querySelector(":scope > .box") ?? element?.querySelector(":scope > .no"))?.focus({ preventScroll: true });
    choose(found.address);
  }

  function wait(address) {
    document.getElementById(address)?.querySelector(":scope > .box")?.classList.add("is-waiting");
  }

  // Does what a button or a key says.
  function perform(action, address = chosen) {
    if (action === "cancel") return write(null);
    if (action === "end") return end();
    const line = byAddress.get(address);
    if (action === "tick" && line?.own) action = "untick";
    if (!line || !can[action](line)) return;
    const needsWords = action === "query" || action === "answer" || (action === "close" && line.asked_by_others);
    if (needsWords) return write({ action, address });
    order(action, line, "");
  }

  function write(what) {
    const isSame = what && writing && what.address === writing.address && what.action === writing.action;
    if (what && writing && !isSame && words.value.trim()) {
      say("Send or cancel what you are writing first.", true);
    } else {
      if (!isSame) words.value = "";
      writing = what;
    }
    form.hidden = !writing;
    if (!writing) return;
    const line = byAddress.get(writing.address);
    const kinds = { query: "Query about", answer: "Answer to the query about", close: "Why it is settled what others asked about" };
    const kind = kinds[writing.action];
    form.querySelector("label").textContent = `${kind} line ${line?.number ?? ""}, ${writing.address}`;
    words.focus();
  }

  function order(action, line, text) {
    // A second click before the first one is shown would undo it.
    const seen = JSON.stringify(line);
    if (waiting.some((order) => order.line === line.address && order.seen === seen)) return;
    waiting.push({ action, line: line.address, words: text, seen });
    wait(line.address);
    if (!isSending) working = work();
  }

  async function work() {
    isSending = true;
    while (waiting.length > 0) {
      const isDone = await send(waiting[0]);
      const done = waiting.shift();
      if (isDone && done.words) write(null);
      document.getElementById(done.line)?.querySelector(":scope > .box")?.classList.remove("is-waiting");
    }
    isSending = false;
  }

  // Sends an action; whether it was done.
  async function send({ action, line, words, seen }) {
    if (JSON.stringify(byAddress.get(line)) !== seen) {
      say("This line is another by now: nothing was marked. Look again.", true);
      return false;
    }
    try {
      const response = await ask({ version, action, line, words });
      const answer = await response.json();
      if (answer.version !== version) await refresh();
      say(answer.message, !response.ok);
      return response.ok;
    } catch {
      lose();
      return false;
    }
  }

  function ask(body) {
    return fetch(here, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) });
  }

  async function end() {
    try {
      await ask({ version, action: "end", line: "", words: "" });
      isOver = true;
      say("Ended. Marks are in the file beside the sheet; this window can be closed.");
    } catch {
      lose();
    }
  }

  function lose() {
    if (!isOver) say("Nobody answers: Soleplate has ended. Start it again and open the address that it shows.", true);
  }

  // Puts the page as it is now in the place of the one shown; one after the other.
  let refreshing = Promise.resolve();
  function refresh() {
    refreshing = refreshing.catch(() => {}).then(replace);
    return refreshing;
  }

  async function replace() {
    const response = await fetch(here, { cache: "no-store" });
    const fresh = new DOMParser().parseFromString(await response.text(), "text/html");
    const other = fresh.getElementById("page:desk");
    if (!other || other.dataset.version === version) return;
    const folded = [...document.querySelectorAll("details.use:not([open])")].map((fold) => fold.id);
    const focused = document.activeElement?.closest("main .markable")?.id;
    const [anchor, top] = hold();
    for (const part of ["header", "main"]) document.querySelector(part)?.replaceWith(fresh.querySelector(part));
    for (const part of [".trouble", ".list > div"]) within(part).replaceWith(other.querySelector(part));
    document.title = fresh.title;
    desk.dataset.version = other.dataset.version;
    desk.dataset.lines = other.dataset.lines;
    for (const fold of folded) document.getElementById(fold)?.removeAttribute("open");
    lay();
    if (focused) document.getElementById(focused)?.querySelector(":scope > .box")?.focus({ preventScroll: true });
    const moved = anchor && document.getElementById(anchor);
    if (moved) scrollBy(0, moved.getBoundingClientRect().top - top);
  }

  // The first line in view and where it stands, so that it can stand there again.
  function hold() {
    if (scrollY === 0) return ["", 0];
    for (const element of document.querySelectorAll("main .line[id]")) {
      const box = element.getBoundingClientRect();
      if (box.height > 0 && box.bottom > 0) return [element.id, box.top];
    }
    return ["", 0];
  }

  // Waits for the page to become another, as long as it is open.
  async function follow() {
    while (!isOver) {
      try {
        const response = await fetch(`${here}?seen=${version}`, { cache: "no-store" });
        if (response.status === 200) {
          const answer = await response.json();
          // Our own action shows what it did by itself, when all that belongs to it is done.
          await working;
          if (answer.version !== version) await refresh();
        } else if (response.status !== 204) {
          throw new Error("refused");
        }
      } catch {
        lose();
        await new Promise((resume) => setTimeout(resume, 3000));
      }
    }
  }

  document.addEventListener("click", (event) => {
    const button = event.target.closest("button");
    const line = event.target.closest(".markable");
    if (line) choose(line.id);
    if (button?.classList.contains("box")) perform("tick", line.id);
    else if (button?.dataset.do) perform(button.dataset.do);
    else if (button?.dataset.next) next(counts[button.dataset.next]);
  });
  document.addEventListener("focusin", (event) => {
    const line = event.target.closest?.("main .markable");
    if (line) choose(line.id);
  });
  addEventListener("hashchange", () => choose(decodeURIComponent(location.hash.slice(1))));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const line = writing && byAddress.get(writing.address);
    if (!line) return say("The line is gone: nothing was marked.", true);
    if (!words.value.trim()) return say("A query or an answer needs words.", true);
    order(writing.action, line, words.value);
  });
  document.addEventListener("keydown", (event) => {
    if (event.target === words) {
      if (event.key === "Escape" && !words.value.trim()) write(null);
      if (event.key === "Enter" && (event.ctrlKey || event.metaKey)) form.requestSubmit();
      return;
    }
    if (event.ctrlKey || event.metaKey || event.altKey || event.repeat) return;
    if (event.key === "n") next(counts.check);
    else if (shortcuts[event.key]) perform(shortcuts[event.key]);
    else return;
    event.preventDefault();
  });

  lay();
  if (location.hash) choose(decodeURIComponent(location.hash.slice(1)));
  follow();
})();
