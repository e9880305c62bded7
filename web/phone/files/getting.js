// Getting the program, for the page that asks for it: shown as it comes, tried
// again where it broke off, and laid where the worker finds it, so that it comes
// over the network once.
'use strict';

const program = '/{{program}}';
const pauses = [1000, 4000]; // ms before the program is asked for again

const mb = (bytes) => (bytes / 1e6).toFixed(1);

// noRoom tells whether the browser refused to keep something for want of room.
const noRoom = (error) => error.name === 'QuotaExceededError';
const noRoomText = 'there is no room left on this phone for the program. Free about 100 MB';

// read gives the program as it came over the network.
async function read(size, shown) {
  let answer;
  try {
    answer = await fetch(program);
  } catch {
    throw new Error('the program could not be asked for. Look whether this phone has a network');
  }
  if (!answer.ok) throw new Error(`the program is not at ${program} (status ${answer.status})`);
  // Bytes are counted as they are read: where the program came with a content
  // encoding they are opened already, to about 6.6 times as many.
  const coded = answer.headers.get('Content-Encoding') ? 6.6 : 1;
  const whole = Number(answer.headers.get('Content-Length') || size) * coded;
  const parts = [];
  let come = 0;
  try {
    for (const reader = answer.body.getReader(); ;) {
      const { done, value } = await reader.read();
      if (done) break;
      parts.push(value);
      come += value.length;
      shown(whole > 0 ? Math.min(1, come / whole) : 0);
    }
  } catch {
    throw new Error(`the download broke off after ${mb(come / coded)} of ${mb(whole / coded)} MB. Look whether this phone has a network, and stay near it`);
  }
  return new Blob(parts);
}

// fetched has the program lie ready for the worker.
async function fetched(size, shown) {
  for (const name of await caches.keys()) {
    const cache = await caches.open(name);
    if (name.startsWith('lastbolt ') && await cache.match(program)) return;
  }
  let blob;
  for (let turn = 0; !blob; turn++) {
    try {
      blob = await read(size, shown);
    } catch (error) {
      if (turn >= pauses.length) throw error;
      await new Promise((resolve) => { setTimeout(resolve, pauses[turn]); });
    }
  }
  try {
    await (await caches.open('lastbolt coming')).put(program, new Response(blob));
  } catch (error) {
    throw noRoom(error) ? new Error(noRoomText) : error;
  }
}

// installed waits until the worker is in place.
async function installed() {
  let why = 'the browser could not keep the program';
  navigator.serviceWorker.addEventListener('message', ({ data }) => {
    if (data.notInstalled) why = noRoom(data.notInstalled) ? noRoomText : `the program could not be kept (${data.notInstalled.message})`;
  });
  navigator.serviceWorker.startMessages();
  const registration = await navigator.serviceWorker.register('/worker.js', { scope: '/', updateViaCache: 'none' });
  if (registration.active) return;
  const coming = registration.installing || registration.waiting;
  await new Promise((resolve, reject) => {
    coming.addEventListener('statechange', () => {
      if (coming.state === 'activated') resolve();
      if (coming.state === 'redundant') setTimeout(() => reject(new Error(why)), 200); // its reason may come after it
    });
  });
}
