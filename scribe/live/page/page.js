// The live page: takes what the server pushes, keeps everything else as it is.

const $ = (id) => document.getElementById(id);
const NS = "http://www.w3.org/2000/svg";
const XLINK = "http://www.w3.org/1999/xlink";
const LIFE = 40000; // ms of silence after which the stream is taken for dead (it beats every 15 s)

const known = new Map(); // key of a system -> what the server told about it
let hello = { draft: "", link: "", digits: [], at: 0 };
let order = []; // [key, bar number, lines of its bars]
let problems = []; // everything that is wrong: `read` and `strain` together
let read = []; // … what was found at once
let strain = []; // … what the hand cannot do, found in a quiet moment
let drafts = [];
let state = {};
let rooted = false; // the whole page has been shown once
let pointed = null; // { system, id }
let changed = null; // the system that changed last
let cursor = null; // { line, column }
let wanted = new URLSearchParams(location.search).get("draft") || "";

// --- the stream ----------------------------------------------------------------------------------------------

let stream = null;
let heard = Date.now();
let retry = 0;
const narrow = matchMedia("(max-width: 36rem)");

function connect() {
  stream?.close();
  clearTimeout(retry);
  const ask = new URLSearchParams({ draft: wanted, narrow: narrow.matches ? "1" : "" });
  const mine = (stream = new EventSource("/stream?" + ask));
  heard = Date.now();
  const hear = (act) => (event) => {
    if (mine !== stream) return;
    heard = Date.now();
    act(event);
  };
  mine.addEventListener("hello", hear((event) => greet(JSON.parse(event.data))));
  mine.addEventListener("beat", hear(() => {}));
  mine.onmessage = hear((event) => take(JSON.parse(event.data)));
  mine.onerror = () => {
    if (mine !== stream) return;
    document.body.classList.add("away");
    notice();
    mine.close();
    retry = setTimeout(connect, 700);
  };
}
setInterval(() => Date.now() - heard > LIFE && connect(), 5000);
addEventListener("online", connect);
addEventListener("pageshow", (event) => event.persisted && connect());
document.addEventListener("visibilitychange", () => {
  if (!document.hidden && Date.now() - heard > LIFE / 2) connect();
});
narrow.addEventListener("change", connect);

function greet(message) {
  if (hello.draft !== message.draft) rooted = false;
  hello = message;
  wanted = message.draft;
  define(message.digitGlyphs);
  document.body.classList.remove("away");
  $("draft").disabled = !message.folder;
}

function take(message) {
  if (message.whole) {
    state = {};
    recording = null;
    if (!("order" in message)) message.order = [];
    if (!("problems" in message)) message.problems = [];
    if (!("strain" in message)) message.strain = [];
    if (!("neck" in message)) message.neck = {};
    if (!("heading" in message)) message.heading = "";
  }
  if (message.glyphs) define(message.glyphs);
  for (const [key, system] of Object.entries(message.systems || {})) known.set(key, system);
  if ("order" in message) stops = [];
  if ("stops" in message) {
    stops = message.stops.map((line) => line.split(" "));
    if (pointed?.said) point(pointed.note);
  }
  if ("heading" in message) put($("heading"), message.heading);
  if ("state" in message) state = message.state;
  if ("recording" in message) recording = message.recording;
  if ("drafts" in message) listDrafts((drafts = message.drafts));
  if ("progress" in message) showProgress(message.progress);
  if ("problems" in message) read = message.problems;
  if ("strain" in message) strain = message.strain;
  if ("order" in message) arrange(message.order);
  if ("problems" in message || "strain" in message || "order" in message) {
    problems = [...read, ...strain].sort((one, other) => one.line - other.line || one.column - other.column);
    showProblems();
  }
  if ("neck" in message) takeNeck(message.neck);
  if ("look" in message) showNeck();
  if (message.cursor) follow(message.cursor);
  if (message.whole && !rooted) {
    rooted = true;
    if (hello.at) follow({ draft: hello.draft, line: hello.at });
  }
  name();
  notice();
  if (!hello.draft && !wanted && drafts.length) turnTo(drafts[0].name);
  document.documentElement.dataset.shown = String(Number(document.documentElement.dataset.shown || 0) + 1);
}
let recording = null;
let stops = []; // of each system, likely strings and frets of its notes in order

// --- systems ---------------------------------------------------------------------------------------------------

// Markup comes from the server only, with every word of a draft escaped; it is read as XML, never as HTML.
function svg(markup) {
  const root = new DOMParser().parseFromString(markup, "image/svg+xml").documentElement;
  return root.namespaceURI === NS ? document.importNode(root, true) : document.createElementNS(NS, "svg");
}
function put(place, markup) {
  place.replaceChildren(...(markup ? [svg(markup)] : []));
}
const defined = new Set();
function define(markup) {
  const found = svg(`<svg xmlns="${NS}">${markup}</svg>`);
  for (const path of [...found.children]) {
    if (defined.has(path.id)) continue;
    defined.add(path.id);
    $("glyphs").firstElementChild.append(path);
  }
}

const anchors = CSS.supports("overflow-anchor", "auto"); // the browser keeps the place itself
function arrange(next) {
  const host = $("systems");
  const before = [...host.children];
  const old = order;
  order = next;
  // What stands at the start and at the end as it did is not touched.
  const least = Math.min(before.length, next.length);
  let start = 0;
  while (start < least && before[start].dataset.key === next[start][0]) start++;
  let end = 0;
  while (end < least - start && before.at(-1 - end).dataset.key === next.at(-1 - end)[0]) end++;
  const anchor = rooted && !anchors ? firstVisible() : null;
  const top = anchor?.getBoundingClientRect().top;
  const pool = new Map();
  for (const element of before.slice(start, before.length - end)) {
    const key = element.dataset.key;
    pool.set(key, [...(pool.get(key) || []), element]);
  }
  const fresh = [];
  const behind = end ? before[before.length - end] : null;
  let here = before[start] ?? null; // the next of the old ones in the middle
  for (const [key] of next.slice(start, next.length - end)) {
    let element = pool.get(key)?.shift();
    if (!element) {
      element = build(key);
      if (rooted && key) fresh.push(element);
    }
    if (element === here) here = here.nextElementSibling;
    else host.insertBefore(element, here);
  }
  while (here !== behind) {
    const gone = here;
    here = here.nextElementSibling;
    gone.remove();
  }
  [...host.children].forEach((element, index) => {
    element.index = index;
    element.line = [next[index][2]].flat()[0] + 1;
    drawNumber(element, next[index][1]);
  });
  const needed = new Set(next.map(([key]) => key));
  for (const key of known.keys()) if (!needed.has(key)) known.delete(key);
  if (anchor?.isConnected) {
    const moved = anchor.getBoundingClientRect().top - top;
    if (Math.abs(moved) > 1) scrollBy(0, moved);
  }
  // While a page is drawn for the first time nothing in it is a change.
  if (fresh.length && old.length && old.every(([key]) => key)) mark(fresh);
  if (pointed && !pointed.note.isConnected) point(null);
  if (cursor) showCursor(false);
  $("empty").hidden = next.length > 0 || !rooted;
  $("empty").textContent = "Nothing to show yet: the first bar that you save appears here.";
}

function build(key) {
  const element = document.createElement("section");
  element.className = "strip";
  element.dataset.key = key;
  const system = known.get(key);
  if (!system) {
    element.classList.add("waiting");
    return element;
  }
  const music = svg(system.svg);
  for (const index of system.stale || []) {
    const [left, right] = system.bars[index];
    music.append(rect("veil", left, 0, right - left, system.size[1]));
  }
  const beside = document.createElement("div");
  beside.className = "beside";
  element.append(music, beside);
  element.shape = system.size[1] / system.size[0];
  sizeUp(element);
  return element;
}
// Systems out of sight are not laid out; how high they would be is known from their shape.
let column = 0;
function sizeUp(element) {
  if (element.shape) element.style.containIntrinsicSize = `auto ${Math.round(column * element.shape)}px`;
}
new ResizeObserver((entries) => {
  const width = Math.round(entries[0].contentRect.width);
  if (width === column) return;
  column = width;
  all().forEach(sizeUp);
}).observe($("systems"));
function rect(kind, x, y, width, height) {
  const found = document.createElementNS(NS, "rect");
  for (const [name, value] of Object.entries({ class: kind, x, y, width, height })) found.setAttribute(name, value);
  return found;
}
function drawNumber(element, number) {
  if (element.number === number) return;
  element.number = number;
  const system = known.get(element.dataset.key);
  element.querySelector(".bar-number")?.remove();
  if (!number || !system?.number) return;
  const group = document.createElementNS(NS, "g");
  group.setAttribute("class", "bar-number");
  group.setAttribute("aria-label", `bar ${number}`);
  let [x, y] = system.number;
  for (const digit of String(number)) {
    const [glyph, scale, advance, color] = hello.digits[Number(digit)];
    const use = document.createElementNS(NS, "use");
    use.setAttributeNS(XLINK, "xlink:href", "#" + glyph);
    use.setAttribute("transform", `translate(${x} ${y}) scale(${scale})`);
    if (color) use.setAttribute("fill", color);
    group.append(use);
    x += advance;
  }
  element.querySelector("svg").append(group);
}

const all = () => [...$("systems").children];
function firstVisible() {
  const top = document.querySelector("header").offsetHeight;
  return all().find((element) => element.getBoundingClientRect().bottom > top + 8);
}
function visible(element) {
  const box = element.getBoundingClientRect();
  return box.bottom > 60 && box.top < innerHeight - 40;
}
function mark(fresh) {
  changed = fresh[0];
  for (const element of fresh) {
    element.classList.add("fresh");
    setTimeout(() => element.classList.remove("fresh"), 1700);
  }
  // Whether it can be seen is asked after it has been painted: asking before would hold it up.
  setTimeout(() => {
    const here = fresh.filter((element) => element.isConnected);
    const away = here.length > 0 && !here.some(visible);
    $("elsewhere").hidden = !away;
    if (away) {
      const above = here[0].getBoundingClientRect().top < 60;
      $("elsewhere").textContent = `changed ${above ? "above" : "below"}: ${barName(here[0])} (c)`;
    }
  }, 60);
}
function barName(element) {
  return `line ${element.line}`;
}
function goToChange() {
  $("elsewhere").hidden = true;
  changed?.scrollIntoView({ block: "center" });
}
addEventListener("scroll", () => {
  if (!$("elsewhere").hidden && changed && visible(changed)) $("elsewhere").hidden = true;
}, { passive: true });

// --- places in the draft ---------------------------------------------------------------------------------------

function lineOf(index, bar) {
  const lines = order[index]?.[2];
  return (Array.isArray(lines) ? lines[bar] : lines) + 1;
}
function findBar(line, column) {
  let best = null;
  for (let index = 0; index < order.length; index++) {
    const system = known.get(order[index][0]);
    if (!system) continue;
    for (let bar = 0; bar < system.bars.length; bar++) {
      const at = lineOf(index, bar);
      const here = at === line && column && column - 1 >= system.bars[bar][2];
      // Without a bar on that very line: the last one above it.
      if (at < line ? !best || at > best.at : at === line && (!best || best.at !== line || here)) best = { index, bar, at };
    }
  }
  return best;
}
function follow(place) {
  if (place.draft !== hello.draft) {
    open(place.draft);
    cursor = place;
    return;
  }
  cursor = place;
  showCursor(true);
}
function showCursor(scroll) {
  document.querySelector(".cursor")?.remove();
  const found = findBar(cursor.line, cursor.column);
  if (!found) return;
  const element = $("systems").children[found.index];
  const system = known.get(order[found.index][0]);
  const [left, right] = system.bars[found.bar];
  element.querySelector("svg").prepend(rect("cursor", left, 0, right - left, system.size[1]));
  if (scroll) look(element, found.bar);
  if (scroll) element.scrollIntoView({ block: "center" });
}

async function goTo(line, column) {
  const link = hello.link && hello.link.replaceAll("{line}", line).replaceAll("{column}", column);
  if (link) {
    const anchor = document.createElement("a");
    anchor.href = link;
    anchor.click();
    say([`line ${line}, column ${column}: shown in the editor`]);
    return;
  }
  const place = `${state.path || hello.draft}:${line}:${column}`;
  await copy(place);
  say([`copied ${place}`]);
}
async function copy(text) {
  try {
    await navigator.clipboard.writeText(text);
  } catch {
    const area = document.createElement("textarea");
    area.value = text;
    document.body.append(area);
    area.select();
    document.execCommand("copy");
    area.remove();
  }
}

// --- pointing --------------------------------------------------------------------------------------------------

function heads(element) {
  const found = [];
  for (const note of element.querySelectorAll("g.note")) {
    const head = note.querySelector("use") || note;
    found.push([note, head.getBoundingClientRect()]);
  }
  return found;
}
function nearest(element, x, y) {
  let best = null;
  let least = 16;
  for (const [note, box] of heads(element)) {
    const away = Math.hypot(
      Math.max(box.left - x, 0, x - box.right),
      Math.max(box.top - y, 0, y - box.bottom) / 1.6,
    );
    if (away < least) [best, least] = [note, away];
  }
  return best;
}
function point(note) {
  pointed?.note.classList.remove("pointed");
  pointed = null;
  if (!note) return say([]);
  const element = note.closest(".strip");
  const info = known.get(element.dataset.key)?.notes[note.dataset.n];
  if (!info) return;
  note.classList.add("pointed");
  pointed = { system: element, note, info };
  const place = placeOf(element, info);
  say([info[0], info[1] && `degree ${info[1]}`, info[2], info[3] || likely(element, note), info[4], `line ${place[0]}, column ${place[1]}`]);
  pointed.said = true;
  look(element, info[5]);
}
function likely(element, note) {
  const at = Object.keys(known.get(element.dataset.key).notes).indexOf(note.dataset.n);
  const [string, fret] = (stops[element.index]?.[at] || "").split(":");
  return fret ? `likely ${string} string, fret ${fret}` : "";
}
function placeOf(element, info) {
  const index = element.index;
  const bar = known.get(element.dataset.key).bars[info[5]];
  return [lineOf(index, info[5]), bar[2] + info[6] + 1];
}
function say(parts) {
  if (pointed) pointed.said = false;
  const words = parts.filter(Boolean);
  const first = document.createElement("b");
  first.textContent = words[0] || "";
  $("said").replaceChildren(first, words.slice(1).map((word) => ` · ${word}`).join(""));
}
$("systems").addEventListener("pointermove", (event) => {
  const element = event.target.closest?.(".strip");
  const note = element && nearest(element, event.clientX, event.clientY);
  if (note !== (pointed?.note || null)) point(note);
});
$("systems").addEventListener("pointerleave", (event) => event.pointerType === "mouse" && point(null));
$("systems").addEventListener("click", (event) => {
  const element = event.target.closest(".strip");
  if (!element || event.target.closest(".beside")) return;
  const note = nearest(element, event.clientX, event.clientY);
  if (note) {
    point(note);
    return void goTo(...placeOf(element, pointed.info));
  }
  const system = known.get(element.dataset.key);
  if (!system) return;
  const box = element.querySelector("svg").getBoundingClientRect();
  const x = ((event.clientX - box.left) / box.width) * system.size[0];
  const bar = system.bars.findIndex(([left, right]) => left <= x && x <= right);
  if (bar >= 0) goTo(lineOf(element.index, bar), system.bars[bar][2] + 1);
});

function step(by) {
  const notes = [...document.querySelectorAll("#systems g.note")];
  if (!notes.length) return;
  let index = pointed ? notes.indexOf(pointed.note) + by : -1;
  if (index < 0 && !pointed) index = notes.findIndex((note) => visible(note.closest(".strip")));
  const note = notes[Math.max(0, Math.min(notes.length - 1, index))];
  point(note);
  note.closest(".strip").scrollIntoView({ block: "nearest" });
}
function leap(by) {
  const here = pointed?.system || firstVisible();
  const next = all()[(here?.index ?? -1) + by];
  const note = next?.querySelector("g.note");
  next?.scrollIntoView({ block: "nearest" });
  if (note) point(note);
}

// --- the neck ----------------------------------------------------------------------------------------------------

let neck = {}; // whether the draft asks for it, whether there is one, the bar of the last edit
const NO_NECK = "no neck: nothing here is played on strings";
let awaited = false; // the key was pressed before anything was known
let wish = null; // what a key press said about it: on or off
let here = null; // { element, bar }: the bar that the reader is at
let asking = 0;
let picture = null; // the request on its way

function takeNeck(message) {
  const edited = message.edited;
  if (edited && String(edited) !== String(neck.edited)) {
    const element = all()[edited[0]];
    if (element) here = { element, bar: edited[1] };
  }
  neck = message;
  if (awaited && "there" in neck) {
    awaited = false;
    say([neck.there ? "" : NO_NECK]);
  }
  showNeck();
}
// The bar pointed at, the one under the editor's cursor or the one edited, whichever came last.
function look(element, bar) {
  if (here?.element === element && here.bar === bar) return;
  here = { element, bar };
  clearTimeout(asking);
  asking = setTimeout(showNeck, 60);
}
async function showNeck() {
  const on = Boolean(neck.there && (wish ?? neck.asked));
  $("neck").hidden = !on;
  if (!on) return;
  if (!here?.element.isConnected) {
    const element = firstVisible();
    if (!element) return;
    here = { element, bar: 0 };
  }
  picture?.abort();
  const mine = (picture = new AbortController());
  const ask = { draft: hello.draft, narrow: narrow.matches ? "1" : "", system: here.element.index, bar: here.bar };
  try {
    const answer = await fetch("/neck?" + new URLSearchParams(ask), { signal: mine.signal });
    const markup = answer.status === 200 ? await answer.text() : "";
    if (mine !== picture) return;
    put($("neck").querySelector("div"), markup);
    const title = $("neck").querySelector("svg > title");
    $("neck").querySelector("p").textContent = title?.textContent ?? "nothing to stop in this bar";
    title?.remove();
  } catch {} // another bar was asked for, or the server is away: the picture stays
}
function toggleNeck() {
  if (!("there" in neck)) {
    wish = awaited = true;
    return say(["the neck comes when the hand is found"]);
  }
  if (!neck.there) return say([NO_NECK]);
  wish = $("neck").hidden;
  say([wish ? "" : "the neck is put away: f brings it back"]);
  showNeck();
}

// --- words round the music ---------------------------------------------------------------------------------------

function coded(text) {
  return text.split("`").map((part, index) => {
    if (index % 2 === 0) return document.createTextNode(part);
    const code = document.createElement("code");
    code.textContent = part;
    return code;
  });
}
function showProblems() {
  const errors = problems.filter((each) => each.severity === "error").length;
  const rest = problems.length - errors;
  const words = [];
  if (errors) words.push(`${errors} error${errors > 1 ? "s" : ""}`);
  if (rest) words.push(`${rest} remark${rest > 1 ? "s" : ""}`);
  $("count").textContent = words.join(", ") || "nothing to mend";
  $("count").classList.toggle("bad", errors > 0);
  $("icon").href = errors || state.kind === "unreadable" ? "/icon-error.svg" : "/icon.svg";
  $("problems").querySelector("ol").replaceChildren(...problems.slice(0, 200).map(problemItem));
  if (!problems.length) toggle("problems", "count", false);
  const beside = new Map();
  for (const each of problems) {
    if (each.severity === "error" && each.system >= 0) beside.set(each.system, [...(beside.get(each.system) || []), each]);
  }
  all().forEach((element, index) => {
    const place = element.querySelector(".beside");
    const here = beside.get(index) || [];
    if (place && (here.length || place.firstChild)) place.replaceChildren(...here.map((each) => besideItem(each, element)));
  });
}
function besideItem(problem, element) {
  const item = document.createElement("p");
  item.append(...coded(problem.message));
  const mend = problem.mends[0];
  if (mend) {
    const line = document.createElement("span");
    line.className = "mend";
    line.append(...coded(mend.text));
    item.append(line);
  }
  const system = known.get(element.dataset.key);
  const left = system.bars[problem.bar]?.[0] ?? 0;
  item.style.marginLeft = Math.min(60, (100 * left) / system.size[0]) + "%";
  return item;
}
function problemItem(problem) {
  const item = document.createElement("li");
  item.className = problem.severity;
  const place = document.createElement("button");
  place.type = "button";
  place.className = "place";
  place.textContent = `line ${problem.line}, column ${problem.column}`;
  place.addEventListener("click", () => {
    if (problem.system >= 0) $("systems").children[problem.system]?.scrollIntoView({ block: "center" });
    goTo(problem.line, problem.column);
  });
  const text = document.createElement("div");
  text.append(...coded(problem.message));
  item.append(place, text);
  for (const mend of problem.mends) {
    const line = document.createElement("p");
    line.className = "mend";
    line.append(...coded(mend.text));
    if (mend.replacement) {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = "copy the mend";
      button.addEventListener("click", async () => {
        await copy(mend.replacement);
        say([`copied ${mend.replacement}`]);
      });
      line.append(" ", button);
    }
    item.append(line);
  }
  return item;
}
let nextProblem = 0;
function goToProblem() {
  const placed = problems.filter((each) => each.system >= 0);
  if (!placed.length) return;
  const problem = placed[nextProblem++ % placed.length];
  $("systems").children[problem.system]?.scrollIntoView({ block: "center" });
  say([`line ${problem.line}, column ${problem.column}`, problem.message.replaceAll("`", "")]);
}

function showProgress(done) {
  const written = done.bars - done.bars_to_do;
  const words = [done.bars === 1 ? "1 bar" : `${done.bars} bars`];
  if (done.bars_to_do) words[0] = `${written} of ${done.bars} bars written`;
  const count = (n, one, many) => n && words.push(`${n} ${n === 1 ? one : many}`);
  count(done.beats_to_do, "place to do", "places to do");
  count(done.unheard, "unheard note", "unheard notes");
  count(done.doubtful, "doubtful note", "doubtful notes");
  count(done.doubtful_chords, "doubtful chord", "doubtful chords");
  $("progress").textContent = words.join(", ");
}

function listDrafts(rows) {
  const part = $("filter").value.toLowerCase();
  const shown = rows.filter((row) => (row.name + " " + row.title).toLowerCase().includes(part)).slice(0, 300);
  $("drafts").querySelector("ul").replaceChildren(
    ...shown.map((row) => {
      const item = document.createElement("li");
      const link = document.createElement("a");
      link.href = "/?" + new URLSearchParams({ draft: row.name });
      link.textContent = row.name;
      if (row.name === hello.draft) link.setAttribute("aria-current", "page");
      const small = document.createElement("small");
      const meter = document.createElement("meter");
      meter.max = Math.max(1, row.bars);
      meter.value = row.bars - row.to_do;
      meter.title = `${row.bars - row.to_do} of ${row.bars} bars written`;
      const words = [`${row.bars} bar${row.bars === 1 ? "" : "s"}`, row.open].filter(Boolean).join(", ");
      small.append(meter, row.title ? `${row.title}: ${words}` : words);
      if (row.errors) {
        const bad = document.createElement("span");
        bad.className = "bad";
        bad.textContent = `, ${row.errors} error${row.errors > 1 ? "s" : ""}`;
        small.append(bad);
      }
      link.append(small);
      link.addEventListener("click", (event) => {
        if (event.ctrlKey || event.metaKey || event.shiftKey) return;
        event.preventDefault();
        open(row.name);
      });
      item.append(link);
      return item;
    }),
  );
}
$("filter").addEventListener("input", () => listDrafts(drafts));
function open(draft) {
  toggle("drafts", "draft", false);
  history.pushState(null, "", "/?" + new URLSearchParams({ draft }));
  turnTo(draft);
}
function turnTo(draft) {
  wanted = draft;
  cursor = null;
  changed = null;
  here = null;
  connect();
  scrollTo(0, 0);
  $("page").focus({ preventScroll: true });
}
addEventListener("popstate", () => turnTo(new URLSearchParams(location.search).get("draft") || ""));

function name() {
  const row = drafts.find((each) => each.name === hello.draft);
  $("draft").textContent = hello.draft || "no draft yet";
  document.title = (row?.title || hello.draft || "scribe") + (problems.some((p) => p.severity === "error") ? " (error)" : "");
}
function notice() {
  let text = "";
  if (document.body.classList.contains("away")) text = "Not connected: trying again. The page is as it was last.";
  else if (state.kind === "gone") text = "This draft is not there any more. The page is as it was last.";
  else if (state.kind === "unreadable") text = `${state.message}: ${state.mend}. The page is as it was last.`;
  else if (recording && !recording.there) text = `The recording ${recording.name} is not there.`;
  else if (!hello.draft && drafts.length === 0) text = "No draft in this folder yet: save one, name.scribe, and it appears here.";
  $("notice").textContent = text;
  $("notice").hidden = !text;
}

// --- keys, zoom, panels -------------------------------------------------------------------------------------------

function toggle(panel, button, on) {
  const show = on ?? $(panel).hidden;
  $(panel).hidden = !show;
  $(button).setAttribute("aria-expanded", show);
  if (show && panel === "drafts") {
    listDrafts(drafts);
    $("filter").focus();
  }
}
function zoom(to) {
  const value = Math.max(0.4, Math.min(3, to));
  document.documentElement.style.setProperty("--zoom", value);
  document.body.classList.toggle("large", value > 1.2);
  try {
    localStorage.setItem("scribe-zoom", value);
  } catch {}
  return value;
}
let size = 1;
try {
  size = zoom(Number(localStorage.getItem("scribe-zoom")) || 1);
} catch {}

$("draft").addEventListener("click", () => toggle("drafts", "draft"));
$("count").addEventListener("click", () => problems.length && toggle("problems", "count"));
$("help").addEventListener("click", () => $("keys").showModal());
$("close").addEventListener("click", () => $("keys").close());
$("elsewhere").addEventListener("click", goToChange);
document.addEventListener("click", (event) => {
  if (!event.target.closest("#drafts, #draft")) toggle("drafts", "draft", false);
});

const keys = {
  ArrowRight: () => step(1),
  ArrowLeft: () => step(-1),
  ArrowDown: () => leap(1),
  ArrowUp: () => leap(-1),
  Enter: () => pointed && goTo(...placeOf(pointed.system, pointed.info)),
  c: goToChange,
  n: goToProblem,
  p: () => problems.length && toggle("problems", "count"),
  d: () => hello.folder && toggle("drafts", "draft"),
  f: toggleNeck,
  "?": () => $("keys").showModal(),
  "+": () => (size = zoom(size * 1.1)),
  "=": () => (size = zoom(size * 1.1)),
  "-": () => (size = zoom(size / 1.1)),
  0: () => (size = zoom(1)),
};
addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key === "Escape") {
    toggle("drafts", "draft", false);
    toggle("problems", "count", false);
    $("page").focus({ preventScroll: true });
    return;
  }
  if ($("keys").open || event.target.closest("input, button, a")) return;
  const act = keys[event.key];
  if (!act) return;
  event.preventDefault();
  act();
});

connect();
