// In front of the worker: the pages that it has kept, to answer one of them at
// once while the program has still to be started.
//
// A page is kept only where the program says that it depends on what is recorded,
// its address and the time alone, and is given again only while it is certainly
// what the program would answer: nothing was written since, by nobody (the mark
// that every writing transaction puts anew is the same), its time is not over, and
// the request, the program and the phone's hours are the same. The marks and the
// page are read in one transaction.
//
// The notice at the end of a page changes with every exchange with a server. The
// program lays it by as it is now, and it is put on the page in place of the one that
// was there.
'use strict';

const keptMost = 80; // pages
const keptLargest = 250000; // bytes of one

// database is the phone's, once it is opened; only the program makes or changes it.
let database;

function openDatabase() {
  database ??= new Promise((resolve) => {
    const request = indexedDB.open('lastbolt');
    request.onupgradeneeded = () => request.transaction.abort(); // there is none yet
    request.onerror = (event) => {
      event.preventDefault();
      database = undefined;
      resolve();
    };
    request.onsuccess = () => {
      const db = request.result;
      const close = () => {
        db.close();
        database = undefined;
      };
      db.onversionchange = close;
      db.onclose = close;
      const whole = ['mark', 'pages'].every((name) => db.objectStoreNames.contains(name));
      if (!whole) close(); // of an older program: the one that comes changes it
      resolve(whole ? db : undefined);
    };
  });
  return database;
}

// The record of the object store pages that says what all the others rest on.
const keptBy = (mark, zone) => `${version} ${mark} ${zone}`;
const zoneNow = () => new Date().getTimezoneOffset();

// asking is what a program may read of a request beside its address. How fresh
// the browser wants a page is none of that, nor the page that asked: only what
// changes something asks for that one.
function asking(request) {
  const aside = ['cache-control', 'pragma', 'referer'];
  return JSON.stringify([...request.headers].filter(([name]) => !aside.includes(name)));
}

// A page is the same at all its places.
const addressOf = (request) => request.url.split('#')[0];

const mayBeKept = (request) => request.method === 'GET' && request.mode === 'navigate';

// looked gives the mark of now, and the page if it may be given again. Nothing
// comes of it where the database is longer in coming than the patience, in ms: while
// something else is written, it waits for that.
async function looked(request) {
  const db = await openDatabase();
  if (!db) return {};
  const found = await new Promise((resolve) => {
    const t = db.transaction(['mark', 'pages'], 'readonly');
    const marks = t.objectStore('mark').getAll();
    const by = t.objectStore('pages').get('by');
    const page = t.objectStore('pages').get(addressOf(request));
    page.onsuccess = () => {
      const of = (id) => marks.result.find((record) => record.id === id);
      resolve({ mark: of('mark')?.mark ?? '', aside: of('aside')?.mark ?? '', line: of('line'), by: by.result?.by, page: page.result });
    };
    t.onabort = () => resolve({});
  });
  const { mark, aside, line, by, page } = found;
  const now = Date.now();
  if (!page || by !== keptBy(mark, zoneNow()) || page.asking !== asking(request)) return { mark, aside };
  if (now < page.from || (page.until > 0 && now >= page.until)) return { mark, aside };
  if (page.aside !== aside) {
    if (!line || line.mark !== mark || line.aside !== aside || now >= line.until) return { mark, aside };
    page.body = page.body.replace(page.notice, () => line.html);
  }
  return { mark, aside, page };
}

async function look(request, patience) {
  const late = new Promise((resolve) => { setTimeout(resolve, patience, {}); });
  return Promise.race([looked(request).catch(() => ({})), late]);
}

// keptAnswer is the page as it was, and says so to a developer.
function keptAnswer(page, asked) {
  const headers = new Headers(page.headers);
  headers.append('Server-Timing', `kept;dur=${(performance.now() - asked).toFixed(1)}`);
  return new Response(page.body, { status: 200, headers });
}

// keep keeps a page that the program made after the marks were looked at. If
// something was written since, they are others and the page is not kept: it may
// show a part of that.
async function keep(request, { mark, aside, zone, until, notice, ahead }, headers, bytes) {
  const type = headers.find(([name]) => name.toLowerCase() === 'content-type')?.[1] || '';
  if (mark === undefined || !type.startsWith('text/html') || bytes.length > keptLargest) return;
  const body = new TextDecoder().decode(bytes);
  if (notice && body.split(notice).length !== 2) return; // not once, so that it could not be told which
  const db = await openDatabase();
  if (!db) return;
  const now = await looked(request);
  if (now.mark !== mark || now.aside !== aside) return;
  const t = db.transaction('pages', 'readwrite', { durability: 'relaxed' });
  const pages = t.objectStore('pages');
  const by = pages.get('by');
  const all = pages.getAllKeys();
  all.onsuccess = () => {
    // What rests on something else is of no use to anybody. When there are too
    // many all go: those that are wanted come again.
    const full = all.result.length > keptMost;
    if (full && ahead) return; // what nobody asked for pushes nothing out
    if (by.result?.by !== keptBy(mark, zone) || full) {
      pages.clear();
      pages.put({ id: 'by', by: keptBy(mark, zone) });
    }
    pages.put({ id: addressOf(request), from: Date.now(), until, aside, notice, asking: asking(request), headers, body });
  };
}

// dropKept forgets all pages.
async function dropKept() {
  const db = await openDatabase();
  db?.transaction('pages', 'readwrite').objectStore('pages').clear();
}
