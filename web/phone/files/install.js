// The page that offers to keep Lastbolt on this phone: at a tap it has the
// worker fetch the program and then take in what the server has.
'use strict';

const program = '/{{program}}';
const button = document.querySelector('[data-install]');
const bar = document.querySelector('[data-install-bar]');
const say = (text) => { document.querySelector('[data-install-say]').textContent = text; };

// fetched reads the program once through the page, so that its coming can be
// shown; the worker then finds it in the browser's own cache.
async function fetched() {
  const answer = await fetch(program);
  if (!answer.ok) throw new Error(`the program did not come (status ${answer.status})`);
  // Bytes are counted as they are read: where the program came as brotli they are
  // opened already, to about 5.8 times as many.
  const size = Number(answer.headers.get('Content-Length')) * (answer.headers.get('Content-Encoding') ? 5.8 : 1);
  let come = 0;
  for (const reader = answer.body.getReader(); ;) {
    const { done, value } = await reader.read();
    if (done) return;
    come += value.length;
    bar.value = size > 0 ? Math.min(1, come / size) : 0;
  }
}

async function installed() {
  const registration = await navigator.serviceWorker.register('/worker.js', { scope: '/', updateViaCache: 'none' });
  if (registration.active) return;
  const coming = registration.installing || registration.waiting;
  await new Promise((resolve, reject) => {
    coming.addEventListener('statechange', () => {
      if (coming.state === 'activated') resolve();
      if (coming.state === 'redundant') reject(new Error('the browser could not keep it, perhaps for want of room'));
    });
  });
}

// filled takes in what the server has, and shows that it comes.
async function filled() {
  const json = { headers: { Accept: 'application/json' } };
  const look = setInterval(async () => {
    try {
      const status = await (await fetch('/phone/exchange', json)).json();
      say(`Taking in what is on the computer: ${status.taken} records so far.`);
    } catch {
      // the next look shows it
    }
  }, 700);
  try {
    const status = await (await fetch('/phone/exchange', { ...json, method: 'POST' })).json();
    if (status.trouble) throw new Error(status.text);
  } finally {
    clearInterval(look);
  }
}

async function install() {
  button.disabled = true;
  bar.hidden = false;
  try {
    say('Getting the program.');
    await fetched();
    say('Starting it.');
    await installed();
    await filled();
    location.assign('/jobs');
  } catch (error) {
    bar.hidden = true;
    button.disabled = false;
    say(`Not done: ${error.message}. Nothing was lost; try again.`);
  }
}

if (!window.isSecureContext || !('serviceWorker' in navigator)) {
  say('This browser keeps no program from here. It needs https with a certificate that the phone trusts, and an ordinary window, not a private one.');
} else {
  button.disabled = false;
  button.addEventListener('click', install);
}
