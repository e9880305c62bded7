// On every page of the phone: asks the browser, at the first tap, to keep what
// is recorded, and says on the page about the phone whether it will. The page
// about storage has a button for it. While a page is looked at the program is
// kept ready for the next tap: a browser stops a worker that was asked nothing for
// half a minute.
'use strict';

const readyEvery = 20000;

function beReady() {
  const worker = document.visibilityState === 'visible' && navigator.serviceWorker && navigator.serviceWorker.controller;
  if (worker) worker.postMessage('ready');
}

document.addEventListener('visibilitychange', beReady);
setInterval(beReady, readyEvery);

const place = document.querySelector('[data-phone-storage]');

async function tell() {
  if (!place || !navigator.storage) return;
  const kept = await navigator.storage.persisted();
  const { usage, quota } = await navigator.storage.estimate();
  const mb = (bytes) => `${(bytes / 1e6).toFixed(1)} MB`;
  place.textContent = `${kept ? 'The browser has promised to keep them.' : 'The browser has not promised to keep them: it may clear them when the phone is full. Install Lastbolt on the home screen, and save copies.'} ${mb(usage)} in use, ${mb(quota)} at most.`;
}

const ask = document.querySelector('[data-phone-ask]');
if (ask) {
  ask.addEventListener('click', async () => {
    const kept = navigator.storage && navigator.storage.persist && await navigator.storage.persist();
    document.querySelector('[data-phone-asked]').textContent = kept
      ? 'Promised: nothing is cleared when the phone is full.'
      : 'Not promised. The browser decides by itself, and sooner for a program on the home screen. Install Lastbolt there, then ask again; until then save copies often.';
  });
}

addEventListener('pointerup', () => {
  if (navigator.storage && navigator.storage.persist) navigator.storage.persist().then(tell);
}, { once: true });
tell();
