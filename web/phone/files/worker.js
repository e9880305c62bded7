// The worker: it stands between the browser and the network, and answers every
// page of this site from the program on the phone. It is stopped by the browser
// whenever that likes, so it keeps nothing in memory: the program is started
// again from its cache, and what was recorded is in the database.
'use strict';

importScripts('/wasm_exec.js');

const program = '/{{program}}';
const shell = [/*{{shell}}*/];
const version = '{{version}}';
const cacheName = `lastbolt ${version}`;
const lookFirst = 500; // ms that a kept page has for what it fetches, before the program is started behind it
const patience = 150; // ms that a page waits for what is kept where the program runs
const patienceStopped = 3000; // and where it does not
const aheadAfter = 1000; // ms without a request until the pages behind a page are made
const aheadMost = 12; // of them
const startMeanwhile = 300; // ms until the program is started while a page waits for what is kept

// server tells whether these files come from a server that the phone exchanges
// with, or from a host that only keeps files. The program asks for it too.
const server = '{{server}}' === 'yes';
self.lastboltServer = server;

// The pages that only the server has.
const remote = ['/exchange', '/phones', '/pair', '/trust', '/who', '/install'];

// plain opens a program that came as gzip or brotli; some hosts have opened it
// already. No browser is known to open brotli that a page hands it, so the files
// bring what does. It is loaded only here: at an installation, as the rules for
// workers want it.
async function plain(answer) {
  if (!answer.ok) throw new Error(`${answer.url}: status ${answer.status}`);
  let body = new Uint8Array(await answer.arrayBuffer());
  if (body[0] === 0x1f && body[1] === 0x8b) {
    const opened = new Blob([body]).stream().pipeThrough(new DecompressionStream('gzip'));
    body = new Uint8Array(await new Response(opened).arrayBuffer());
  } else if (body[0] !== 0) { // a program begins with a zero byte
    importScripts('/brotli.js');
    body = self.openBrotli(body);
  }
  if (String.fromCharCode(...body.subarray(0, 4)) !== '\0asm') throw new Error('what came is not the program');
  return new Response(body, { headers: { 'Content-Type': 'application/wasm' } });
}

async function stored() {
  const cache = await caches.open(cacheName);
  const there = await cache.match(program);
  if (there) return there;
  const ready = await caches.open('lastbolt coming'); // where the page lays it
  try {
    await cache.put(program, await plain((await ready.match(program)) || await fetch(program)));
  } catch (error) {
    if (error.name !== 'QuotaExceededError') await ready.delete(program); // it may be damaged
    throw error;
  }
  await caches.delete('lastbolt coming');
  return cache.match(program);
}

self.addEventListener('install', (event) => {
  event.waitUntil((async () => {
    await stored();
    const cache = await caches.open(cacheName);
    await cache.addAll(shell.map((name) => new Request(name, { cache: 'reload' })));
    await self.skipWaiting();
  })().catch(async (error) => {
    const pages = await self.clients.matchAll({ includeUncontrolled: true });
    for (const page of pages) page.postMessage({ notInstalled: { name: error.name, message: error.message } });
    throw error;
  }));
});

self.addEventListener('activate', (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) {
      if (name.startsWith('lastbolt ') && name !== cacheName) await caches.delete(name);
    }
    await self.clients.claim();
    await dropKept();
  })());
});

// running is the program, once it is wanted: {serve, ended, took, zone}.
let running;

function start() {
  running ??= boot().catch((error) => {
    running = undefined;
    throw error;
  });
  return running;
}

async function boot() {
  const began = performance.now();
  const go = new Go();
  openDatabase(); // while the program is loading, which then need not wait for it
  const kept = await stored();
  const found = performance.now();
  const { instance } = await WebAssembly.instantiateStreaming(kept, go.importObject);
  const loaded = performance.now();
  const zone = zoneNow(); // the program asks once, as it begins
  let ended;
  const serve = await new Promise((resolve, reject) => {
    self.lastboltReady = (serve, failed) => (failed ? reject(new Error(failed)) : resolve(serve));
    ended = go.run(instance).then(() => {
      running = undefined;
      throw new Error('the program ended');
    });
    ended.catch(reject);
  });
  const took = { find: found - began, compile: loaded - found, run: performance.now() - loaded };
  return { serve, ended, took, zone };
}

// timing tells a developer, in the browser's own view of an answer, where its
// milliseconds went: how the running program started, how long this request
// waited for it, and the page itself.
function timing(took, asked, given) {
  const all = { ...took, wait: given - asked, page: performance.now() - given };
  return ['Server-Timing', Object.entries(all).map(([name, ms]) => `${name};dur=${ms.toFixed(1)}`).join(', ')];
}

// taken takes a header, which is for the worker, off an answer.
function taken(headers, wanted) {
  const at = headers.findIndex(([name]) => name === wanted);
  return at < 0 ? undefined : headers.splice(at, 1)[0][1];
}

// answer has the program answer. With marks, what may be kept is kept.
async function answer(request, marks = {}, asked = performance.now()) {
  const { serve, ended, took, zone } = await start();
  const given = performance.now();
  const headers = [];
  for (const [name, value] of request.headers) headers.push(name, value);
  // A worker is not shown where a request comes from but by its referrer; the
  // program turns away what changes something and does not come from its pages.
  headers.push('Referer', request.referrer);
  if (marks.ahead) headers.push('Lastbolt-Ahead', '1');
  const body = request.method === 'GET' || request.method === 'HEAD' ? null : new Uint8Array(await request.arrayBuffer());
  const answered = new Promise((resolve) => {
    serve(request.method, request.url, headers, body, (status, headers, body) => {
      const holds = taken(headers, 'Lastbolt-Holds');
      const notice = decodeURIComponent(taken(headers, 'Lastbolt-Notice') || '');
      if (holds && status === 200) {
        keep(request, { ...marks, zone, until: Number(holds), notice }, [...headers], body).catch(() => {});
      }
      headers.push(timing(took, asked, given));
      const bare = status === 204 || status === 205 || status === 304;
      resolve(new Response(bare ? null : body, { status, headers }));
    });
  });
  return Promise.race([answered, ended]);
}

// page answers what is opened: at once with what was kept, if that is what the
// program would answer, which then is started behind it for the next tap.
async function page(event) {
  const { request } = event;
  const asked = performance.now();
  const late = running ? undefined : setTimeout(() => start().catch(() => {}), startMeanwhile);
  const found = await look(request, running ? patience : patienceStopped);
  clearTimeout(late);
  const turn = ++pagesAsked;
  if (!found.page) {
    const made = await answer(request, found, asked);
    const shown = made.status === 200 && (made.headers.get('Content-Type') || '').startsWith('text/html');
    if (shown) event.waitUntil(made.clone().text().then((body) => ahead(request, body, turn)).catch(() => {}));
    return made;
  }
  event.waitUntil(ahead(request, found.page.body, turn).catch(() => {}));
  event.waitUntil(new Promise((resolve) => { setTimeout(resolve, lookFirst); }).then(start).catch(() => {}));
  return keptAnswer(found.page, asked);
}

let pagesAsked = 0;
let lastAsked = 0; // when

// ahead has the pages made and kept that a page leads to, so that a tap on one of
// them need not wait, also when the worker was stopped meanwhile. It goes on only
// while nothing is asked for; of a page behind which another was opened no more is
// made. The program refuses what may not be kept, and what opening would record.
async function ahead(request, body, turn) {
  const own = addressOf(request);
  const links = [...body.matchAll(/<a\s[^>]*href="(\/[^"#]*)/g)].map(([, path]) => new URL(path.replaceAll('&amp;', '&'), own).href);
  let made = 0;
  for (const url of new Set(links)) {
    for (let idle; (idle = performance.now() - lastAsked) < aheadAfter;) {
      await new Promise((resolve) => { setTimeout(resolve, aheadAfter - idle); });
    }
    if (turn !== pagesAsked || made === aheadMost) return;
    if (url === own) continue;
    const next = { method: 'GET', url, headers: request.headers, referrer: own };
    const { page, ...marks } = await looked(next);
    if (page || marks.mark === undefined) continue;
    const answered = await answer(next, { ...marks, ahead: true });
    if (answered.status === 200) made++;
  }
}

// asset answers with a style, a script or a font: the same for good in one version
// of the program, so that it is asked for each only once.
async function asset(event) {
  const cache = await caches.open(cacheName);
  const there = await cache.match(event.request);
  if (there) return there;
  const made = await answer(event.request);
  if (made.status === 200) event.waitUntil(cache.put(event.request, made.clone()).catch(() => {})); // without room it is asked for again
  return made;
}

// exchange has the program exchange with the server, and gives how it stands.
async function exchange() {
  const { serve, ended } = await start();
  const headers = ['Referer', `${self.location.origin}/`, 'Accept', 'application/json'];
  const told = new Promise((resolve) => {
    serve('POST', `${self.location.origin}/phone/exchange`, headers, new Uint8Array(0), (status, _, body) => {
      resolve(status === 200 ? JSON.parse(new TextDecoder().decode(body)) : { waiting: 0 });
    });
  });
  return Promise.race([told, ended]);
}

// afterwards sends what was just recorded. What cannot be sent now is sent when
// the browser says that the network is back, where it knows to do that; else by
// the next page.
async function afterwards() {
  const status = await exchange();
  if (status.waiting > 0 && self.registration.sync) await self.registration.sync.register('exchange').catch(() => {});
}

self.addEventListener('sync', (event) => {
  if (event.tag !== 'exchange') return;
  event.waitUntil(exchange().then((status) => {
    if (status.trouble === 'away') throw new Error('the server is not in reach'); // the browser tries again
  }));
});

// plainPage is a page that needs nothing, for when the program cannot answer.
function plainPage(title, text, words) {
  const page = `<!DOCTYPE html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<title>${title} · Lastbolt</title><body><h1>${title}</h1><p>${text}</p><p><a href="/jobs">Jobs in hand</a></p>`;
  const safe = words.replace(/[&<>]/g, (c) => `&#${c.charCodeAt(0)};`);
  return new Response(page.replace('<code></code>', () => `<code>${safe}</code>`),
    { status: 503, headers: { 'Content-Type': 'text/html; charset=utf-8', 'Content-Security-Policy': "default-src 'none'" } });
}

function trouble(error) {
  return plainPage('Not done', `The program on this phone could not answer: <code></code>.
What was recorded before is kept. Go back, look whether the last tap counted, and try again.`, String(error.message || error));
}

function unreached() {
  return plainPage('Not in reach', 'This page is on the computer, which is not in reach now. Everything else goes on without it.', '');
}

// A page that is looked at has the worker ready for the next tap.
self.addEventListener('message', (event) => {
  if (event.data === 'ready') event.waitUntil(start().catch(() => {})); // the next page says what is wrong
});

self.addEventListener('fetch', (event) => {
  const request = event.request;
  const url = new URL(request.url);
  if (url.origin !== self.location.origin) return;
  if (server && remote.some((path) => url.pathname === path || url.pathname.startsWith(`${path}/`))) {
    if (request.mode === 'navigate') event.respondWith(fetch(request).catch(unreached));
    return;
  }
  if (shell.includes(url.pathname)) {
    event.respondWith(caches.open(cacheName).then((cache) => cache.match(url.pathname)).then((there) => there || fetch(request)));
    return;
  }
  if ((request.headers.get('Accept') || '').includes('text/event-stream')) {
    event.respondWith(new Response(null, { status: 204 })); // nobody else changes what is on this phone
    return;
  }
  if (request.method === 'GET' && url.pathname.startsWith('/static/')) {
    event.respondWith(asset(event).catch(trouble));
    return;
  }
  if (url.pathname !== '/phone/exchange') lastAsked = performance.now();
  const answered = (mayBeKept(request) ? page(event) : answer(request)).catch(trouble);
  event.respondWith(answered);
  if (server && request.method !== 'GET' && url.pathname !== '/phone/exchange') event.waitUntil(answered.then(afterwards));
});
