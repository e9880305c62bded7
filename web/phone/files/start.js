// On the first page, behind getting.js: it has the worker fetch the program, once, and then goes to
// where the person was going.
const say = (text) => { document.getElementById('say').textContent = text; };
const bar = document.getElementById('bar');
const again = document.getElementById('again');

async function begin() {
  if (!window.isSecureContext || !('serviceWorker' in navigator)) {
    throw new Error('this browser runs no program here. Open the address with https, in an ordinary window, not a private one');
  }
  if (new URL('.', document.baseURI).pathname !== '/' && document.documentElement.dataset.deep !== 'yes' && location.pathname.endsWith('/index.html')) {
    throw new Error('these files must lie at the top of their site, as in https://name.example/, not in a folder of it');
  }
  if (!navigator.serviceWorker.controller) await fetched(Number('{{bytes}}'), (part) => { bar.value = part; });
  say('Starting.');
  await installed();
  const here = location.pathname === '/index.html' || location.pathname === '/404.html' ? '/' : location.pathname + location.search;
  location.replace(here);
}

function tried() {
  again.hidden = true;
  bar.hidden = false;
  begin().catch((error) => {
    bar.hidden = true;
    again.hidden = false;
    say(`Lastbolt did not start: ${error.message}. Nothing that was recorded is lost. Mend that, then try again.`);
  });
}

again.addEventListener('click', tried);
tried();
