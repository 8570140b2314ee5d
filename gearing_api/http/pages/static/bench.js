// Makes the bench live: one request for each change of the build. Everything it shows was written by the service.
// The functions are exported for other pages; on the service's own page the last line starts them.

export const PARTS = ["strip", "headline", "rows", "figures", "foot"];

/** The build of a form as a query, blank fields left out. */
export function queryOf(form) {
  const query = new URLSearchParams();
  for (const [name, value] of new FormData(form)) if (value.trim()) query.append(name, value.trim());
  return query;
}

/** The parts of a page for a build, or what is wrong with it. Throws where the service does not answer. */
export async function ask(service, question, query, signal) {
  const asked = new URLSearchParams(query);
  asked.set("page", "1");
  const response = await fetch(`${service}/v1/${question}.json?${asked}`, { signal });
  const answer = await response.json();
  return response.ok ? { answer } : { problem: answer };
}

/** Put HTML of the service into a place; scripts in it do not run. */
export function put(place, html) {
  const made = new DOMParser().parseFromString(html, "text/html");
  place.replaceChildren(...made.body.childNodes);
}

/** Show the parts of an answer; what is open stays open, and what had the focus has it again. */
export function show(root, answer, parts = PARTS) {
  const open = [...root.querySelectorAll("details[open][id]")].map((one) => one.id);
  const active = root.activeElement ?? document.activeElement;
  const focus = active?.dataset?.focus ?? active?.id;
  for (const name of parts) {
    const place = root.querySelector(`#${name}`);
    if (place && name in answer.parts) put(place, answer.parts[name]);
  }
  for (const id of open) root.querySelector(`#${CSS.escape(id)}`)?.setAttribute("open", "");
  handles(root);
  const again = focus ? root.querySelectorAll(`#${CSS.escape(focus)}, [data-focus="${CSS.escape(focus)}"]`) : [];
  [...again].find((one) => one.getClientRects().length)?.focus({ preventScroll: true });
}

/** Say at each field what is wrong with it, and offer what is likely meant. Returns the first of these fields. */
export function mark(form, problem) {
  clear(form);
  let first = null;
  for (const { pointer = "", detail, use } of problem?.errors ?? []) {
    const field = form.elements[pointer.slice(1)];
    if (!field?.setAttribute) continue;
    first ??= field;
    field.setAttribute("aria-invalid", "true");
    const told = document.createElement("p");
    told.className = "wrong";
    told.id = `e-${field.name}`;
    told.append(detail.replaceAll("_", " "));
    if (use !== undefined) {
      const repair = document.createElement("button");
      repair.type = "button";
      repair.className = "plain";
      repair.textContent = `use ${use}`;
      repair.addEventListener("click", () => {
        field.value = use;
        field.focus();
        field.dispatchEvent(new Event("change", { bubbles: true }));
      });
      told.append(" ", repair);
    }
    describe(field, told.id);
    field.closest(".field").append(told);
  }
  return first;
}

function describe(field, id) {
  const ids = (field.getAttribute("aria-describedby") ?? "").split(" ").filter((one) => one && !one.startsWith("e-"));
  field.setAttribute("aria-describedby", [...ids, ...(id ? [id] : [])].join(" "));
}

function clear(form) {
  for (const told of form.querySelectorAll(".wrong")) told.remove();
  for (const field of form.querySelectorAll("[aria-invalid]")) {
    field.removeAttribute("aria-invalid");
    describe(field);
  }
}

/** An axle ratio out of a pair of teeth or a number. */
export function ratioOf(text) {
  const [ring, pinion = 1] = text.split("/").map(Number);
  return ring / pinion;
}

/** The ticks of the ruler in sight, from low to high. */
export function ticksOf(figure) {
  const seen = [...figure.querySelectorAll("a[data-ratio]")].filter((tick) => tick.getClientRects().length);
  return seen.sort((one, other) => ratioOf(one.dataset.ratio) - ratioOf(other.dataset.ratio));
}

/** The tick that a key leads to, if any. */
export function tickByKey(figure, key) {
  const ticks = ticksOf(figure);
  const fitted = Number(figure.dataset.fitted);
  const above = ticks.filter((tick) => ratioOf(tick.dataset.ratio) > fitted * 1.0005);
  const below = ticks.filter((tick) => ratioOf(tick.dataset.ratio) < fitted * 0.9995);
  return { ArrowRight: above[0], ArrowUp: above[0], ArrowLeft: below.at(-1), ArrowDown: below.at(-1),
    Home: ticks[0], End: ticks.at(-1) }[key] ?? null;
}

/** The tick nearest to a place on the screen. */
export function tickAt(figure, x) {
  const mark = (tick) => (tick.querySelector(".p-tick, .p-first") ?? tick).getBoundingClientRect();
  const off = (tick) => Math.abs(mark(tick).left - x);
  return ticksOf(figure).reduce((best, tick) => (!best || off(tick) < off(best) ? tick : best), null);
}

/** Make the handle of each ruler one that keys reach. */
export function handles(root) {
  for (const svg of root.querySelectorAll("figure[data-fitted] svg")) {
    const handle = svg.querySelector(".p-handle");
    const ticks = [...svg.querySelectorAll("a[data-ratio]")].map((tick) => ratioOf(tick.dataset.ratio));
    if (!handle || !ticks.length) continue;
    const fitted = Number(svg.closest("figure").dataset.fitted);
    const said = { tabindex: 0, role: "slider", "aria-label": "axle ratio fitted", "aria-valuenow": fitted,
      "aria-valuetext": fitted.toFixed(2), "aria-valuemin": Math.min(fitted, ...ticks), "aria-valuemax": Math.max(fitted, ...ticks) };
    for (const [name, value] of Object.entries(said)) handle.setAttribute(name, value);
    handle.dataset.focus = "handle";
  }
}

const WAIT = 450; // ms after the last key

class Bench {
  constructor(root) {
    this.root = root;
    this.panel = root.querySelector("#panel");
    this.form = root.querySelector("#build");
    this.status = root.querySelector("#status");
    this.sentence = root.querySelector("#set-sentence");
    this.last = queryOf(this.form).toString();
    this.panel.append(this.sentence, this.form);
    this.close();
    if (this.sentence.querySelector("[role=status]")) this.open("#set-sentence", root.querySelector("[href='#set-sentence']"), false);
    root.addEventListener("click", (event) => this.clicked(event));
    root.addEventListener("input", (event) => this.typed(event, WAIT));
    root.addEventListener("change", (event) => this.typed(event, 0));
    root.addEventListener("submit", (event) => this.submitted(event));
    root.addEventListener("keydown", (event) => this.pressed(event));
    root.addEventListener("pointerdown", (event) => this.dragged(event));
    this.ready();
  }

  ready() {
    for (const chip of this.root.querySelectorAll(".chip, a.verdict")) {
      chip.setAttribute("role", "button");
      chip.setAttribute("aria-expanded", String(chip.hash === this.opened));
    }
    handles(this.root);
    for (const button of this.root.querySelectorAll("[data-do=print]")) button.hidden = false;
    const strip = this.root.querySelector("#strip");
    document.documentElement.style.setProperty("--strip", `${strip.offsetHeight}px`);
  }

  clicked(event) {
    const link = event.target.closest("a");
    const button = event.target.closest("button[data-do]");
    if (button) return this[button.dataset.do](event);
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return undefined;
    const to = new URL(link.getAttribute("href"), location.href); // a link in a drawing has no parts of its own
    if (link.getAttribute("href").startsWith("#set-")) {
      event.preventDefault();
      return this.opened === to.hash ? this.close() : this.open(to.hash, link);
    }
    if (link.dataset.copy !== undefined) return this.copy(event, link);
    const same = to.origin === location.origin && to.pathname === location.pathname;
    if (!same || !to.search || to.searchParams.has("open")) return undefined;
    event.preventDefault();
    return this.go(to.search, link.dataset.use ? "" : "undo");
  }

  open(hash, from, focus = true) {
    this.opened = hash;
    this.from = from?.getAttribute("href") ?? this.from;
    const part = this.panel.querySelector(hash);
    const sentence = part === this.sentence;
    this.sentence.hidden = !sentence;
    this.form.hidden = sentence || !part;
    for (const one of this.form.querySelectorAll("fieldset")) one.classList.toggle("open", one === part);
    if (part && !part.querySelector(".close")) {
      const close = document.createElement("button");
      Object.assign(close, { type: "button", className: "plain close", textContent: "Close" });
      close.dataset.do = "close";
      part.append(close);
    }
    this.ready();
    const field = part?.querySelector("label:not(.was) > :is(input, select)") ?? part?.querySelector("input");
    if (focus) field?.focus({ preventScroll: true });
  }

  close() {
    const from = this.opened && this.from;
    this.opened = "";
    this.sentence.hidden = this.form.hidden = true;
    this.ready();
    if (from) this.root.querySelector(`[href="${CSS.escape(from)}"]`)?.focus({ preventScroll: true });
  }

  typed(event, wait) {
    if (event.target.form !== this.form) return;
    clearTimeout(this.waiting);
    this.waiting = setTimeout(() => this.change(), wait);
  }

  submitted(event) {
    if (event.target !== this.form) return;
    event.preventDefault();
    clearTimeout(this.waiting);
    this.change();
  }

  change() {
    const query = queryOf(this.form);
    if (query.toString() !== this.last) this.calculate(query, "");
  }

  go(search, undo) {
    const query = new URLSearchParams(search);
    query.delete("q");
    return this.calculate(query, undo, true);
  }

  print() {
    print();
  }

  undo() {
    this.go(this.before, "");
  }

  async calculate(query, undo, whole = false) {
    this.flight?.abort();
    const flight = (this.flight = new AbortController());
    this.last = query.toString();
    const before = location.search;
    const main = this.root.querySelector("main");
    main.classList.add("stale");
    try {
      const { answer, problem } = await ask("", "build-sheet", query, flight.signal);
      if (problem) return this.refuse(problem);
      this.accept(answer, whole || query.get("typed") !== query.get("units"));
      if (undo && before) this.offerUndo(before);
    } catch (error) {
      if (error.name === "AbortError") return undefined;
      this.status.textContent = "The service does not answer. The figures shown are those before the change.";
    }
    return undefined;
  }

  accept(answer, whole) {
    this.root.querySelector("main").classList.remove("stale");
    clear(this.form);
    show(this.root, answer);
    if (whole || !this.form.contains(document.activeElement)) this.refill(answer.parts.form);
    history.replaceState(null, "", answer.address);
    document.title = answer.title;
    this.status.textContent = answer.summary;
    this.ready();
  }

  refill(html) {
    const name = this.form.contains(document.activeElement) ? document.activeElement.name : "";
    const made = new DOMParser().parseFromString(html, "text/html").querySelector("form");
    this.form.replaceWith(made);
    this.form = made;
    this.last = queryOf(made).toString();
    if (this.opened) this.open(this.opened);
    else this.close();
    if (name) this.form.elements[name]?.focus?.({ preventScroll: true });
  }

  refuse(problem) {
    const field = mark(this.form, problem);
    const part = field?.closest("fieldset");
    if (part && this.opened !== `#${part.id}`) this.open(`#${part.id}`);
    field?.closest("details")?.setAttribute("open", "");
    this.status.textContent = problem.detail;
  }

  offerUndo(before) {
    this.before = before;
    const told = document.createElement("p");
    told.className = "undo";
    const button = document.createElement("button");
    Object.assign(button, { type: "button", className: "plain", textContent: "Undo this change" });
    button.dataset.do = "undo";
    told.append(button);
    this.root.querySelector("#headline").append(told);
  }

  copy(event, link) {
    if (!navigator.clipboard) return;
    event.preventDefault();
    navigator.clipboard.writeText(link.href).then(() => { this.status.textContent = link.textContent = "link copied"; });
  }

  pressed(event) {
    if (event.key === "Escape" && this.opened) return this.close();
    if (event.key === " " && event.target.matches?.("a[role=button]")) {
      event.preventDefault();
      return event.target.click();
    }
    const figure = event.target.matches?.("[role=slider]") && event.target.closest("figure");
    const tick = figure && tickByKey(figure, event.key);
    if (!tick) return undefined;
    event.preventDefault();
    return this.go(searchOf(tick), "undo");
  }

  dragged(event) {
    if (!event.target.matches?.("[role=slider]")) return;
    event.preventDefault();
    const id = event.target.closest("figure").id;
    event.target.focus();
    let at = null;
    const move = ({ clientX }) => {
      const tick = tickAt(this.root.querySelector(`#${id}`), clientX);
      if (!tick || tick.dataset.ratio === at) return;
      at = tick.dataset.ratio;
      this.go(searchOf(tick), "undo");
    };
    const end = () => {
      removeEventListener("pointermove", move);
      removeEventListener("pointerup", end);
      removeEventListener("pointercancel", end);
    };
    addEventListener("pointermove", move);
    addEventListener("pointerup", end);
    addEventListener("pointercancel", end);
  }
}

function searchOf(link) {
  return new URL(link.getAttribute("href"), location.href).search;
}

if (document.querySelector("body.home #build")) {
  document.body.classList.add("live");
  new Bench(document.body);
}
