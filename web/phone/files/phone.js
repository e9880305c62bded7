// On every page of the phone: asks the browser, at the first tap, to keep what
// is recorded, and says on the page about the phone whether it will.
'use strict';

const place = document.querySelector('[data-phone-storage]');

async function tell() {
  if (!place || !navigator.storage) return;
  const kept = await navigator.storage.persisted();
  const { usage, quota } = await navigator.storage.estimate();
  const mb = (bytes) => `${(bytes / 1e6).toFixed(1)} MB`;
  place.textContent = `${kept ? 'The browser has promised to keep them.' : 'The browser has not promised to keep them: it may clear them when the phone is full. Install Lastbolt on the home screen, and save copies.'} ${mb(usage)} in use, ${mb(quota)} at most.`;
}

addEventListener('pointerup', () => {
  if (navigator.storage && navigator.storage.persist) navigator.storage.persist().then(tell);
}, { once: true });
tell();
