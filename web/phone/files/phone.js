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
  const mb = (bytes) => (bytes < 1e9 ? `${(bytes / 1e6).toFixed(1)} MB` : `${(bytes / 1e9).toFixed(1)} GB`);
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

// The browser may stop the program on this phone in the middle of a request, and
// then leaves the page waiting without a word. After a while the page says so
// itself. It sends nothing again: only a person knows whether a tap that was
// recorded without an answer is to count twice.
(() => {
  const patience = 12000; // milliseconds; a page takes tenths of seconds
  const patienceFile = 120000; // a copy or a photo may take its time
  let timer;

  function say(text, label, href) {
    const box = document.createElement('div');
    box.className = 'error-box';
    box.setAttribute('role', 'alert');
    box.dataset.unanswered = '';
    for (const words of ['Still no answer.', text]) {
      const p = document.createElement('p');
      if (!box.firstChild) p.className = 'error-title';
      p.textContent = words;
      box.append(p);
    }
    const p = document.createElement('p');
    const link = document.createElement('a');
    link.href = href;
    link.textContent = label;
    p.append(link);
    box.append(p);
    document.querySelector('[data-unanswered]')?.remove();
    document.querySelector('main').prepend(box);
    box.scrollIntoView({ block: 'center' });
  }

  function wait(long, ...words) {
    clearTimeout(timer);
    timer = setTimeout(say, long, ...words);
  }

  // lookAt is where a person sees whether a tap counted.
  function lookAt() {
    const [, jobs, id] = location.pathname.split('/');
    if (jobs !== 'jobs') return location.href;
    return id && id !== 'new' ? `/jobs/${id}` : '/jobs';
  }

  addEventListener('submit', (event) => {
    const form = event.target;
    if (event.defaultPrevented || form.method !== 'post') return;
    wait(form.enctype === 'multipart/form-data' ? patienceFile : patience,
      'The browser may have stopped the program on this phone in the middle. What was recorded before is kept. This tap is recorded once or not at all: look whether it counted, and do it again only if it did not.',
      'Look whether it counted', lookAt());
  });
  addEventListener('pagehide', () => clearTimeout(timer));
})();

// A file that is too large is not even read: all of it would have to fit into
// the program's memory.
const copyForm = document.querySelector('form[data-most]');
if (copyForm) {
  copyForm.addEventListener('submit', (event) => {
    const file = copyForm.querySelector('input[type=file]').files[0];
    const most = Number(copyForm.dataset.most);
    const wrong = file && file.size > most;
    copyForm.querySelector('[data-too-large]').hidden = !wrong;
    if (!wrong) return;
    event.preventDefault();
    copyForm.querySelector('[data-size]').textContent = Math.ceil(file.size / 1e6);
  });
}
