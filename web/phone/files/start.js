// The first page: it has the worker fetch the program, once, and then goes to
// where the person was going.
'use strict';

const say = (text) => { document.getElementById('say').textContent = text; };
const bar = document.getElementById('bar');

// fetched reads the program once through the page, so that its coming can be
// shown; the worker then finds it in the browser's own cache.
async function fetched(name, size) {
  const answer = await fetch(name);
  if (!answer.ok) throw new Error(`the program is not at ${name} (status ${answer.status})`);
  let come = 0;
  for (const reader = answer.body.getReader(); ;) {
    const { done, value } = await reader.read();
    if (done) return;
    come += value.length;
    bar.value = Math.min(1, come / size);
  }
}

async function begin() {
  if (!window.isSecureContext || !('serviceWorker' in navigator)) {
    throw new Error('this browser runs no program here. Open the address with https, in an ordinary window, not a private one');
  }
  if (new URL('.', document.baseURI).pathname !== '/' && document.documentElement.dataset.deep !== 'yes' && location.pathname.endsWith('/index.html')) {
    throw new Error('these files must lie at the top of their site, as in https://name.example/, not in a folder of it');
  }
  if (!navigator.serviceWorker.controller) await fetched('/{{program}}', Number('{{bytes}}'));
  const registration = await navigator.serviceWorker.register('/worker.js', { scope: '/', updateViaCache: 'none' });
  say('Starting.');
  await new Promise((resolve, reject) => {
    if (registration.active) return resolve();
    const coming = registration.installing || registration.waiting;
    coming.addEventListener('statechange', () => {
      if (coming.state === 'activated') resolve();
      if (coming.state === 'redundant') reject(new Error('the browser could not keep it, perhaps for want of room'));
    });
  });
  const here = location.pathname === '/index.html' || location.pathname === '/404.html' ? '/' : location.pathname + location.search;
  location.replace(here);
}

begin().catch((error) => {
  bar.remove();
  say(`Lastbolt did not start: ${error.message}. Nothing that was recorded is lost. Mend that, then open this page again.`);
});
