// On every page of a phone with a server: exchanges with it when the page is
// opened, when the network is back, when the server says that there is
// something new, and every half minute; and says what waits.
(() => {
  const place = document.querySelector('footer [data-mark]');
  const every = 30000;
  let mark = place ? place.dataset.mark : '';
  let busy = false;
  let again = false;
  let source;

  async function exchange() {
    again = true;
    if (busy) return;
    busy = true;
    try {
      while (again) {
        again = false;
        const answer = await fetch('/phone/exchange', { method: 'POST', headers: { Accept: 'application/json' } });
        if (answer.ok) show(await answer.json());
      }
    } catch {
      // the worker was stopped in the middle: the next time does it
    } finally {
      busy = false;
    }
  }

  function show(status) {
    const line = document.querySelector('[data-phone-line]');
    if (line) line.textContent = status.text;
    if (place) {
      place.textContent = status.text;
      place.className = status.urgent ? 'tag is-now' : 'soft';
      const link = place.parentElement.querySelector('a');
      link.textContent = status.label;
      link.href = status.href;
    }
    if (String(status.position) !== mark) {
      mark = String(status.position);
      document.dispatchEvent(new Event('lastbolt:changed'));
    }
    if (!status.trouble) follow(status.seen);
  }

  // follow has the server tell when it has something new.
  function follow(seen) {
    if (source || document.visibilityState !== 'visible') return;
    const mine = new EventSource(`/exchange/live?after=${seen}`);
    source = mine;
    let lost = false;
    mine.addEventListener('change', exchange);
    mine.onopen = () => { if (lost) exchange(); };
    mine.onerror = () => {
      lost = true;
      if (mine.readyState === EventSource.CLOSED && source === mine) source = undefined;
    };
  }

  function rest() {
    if (source) source.close();
    source = undefined;
  }

  document.addEventListener('visibilitychange', () => (document.visibilityState === 'visible' ? exchange() : rest()));
  addEventListener('pagehide', rest);
  addEventListener('pageshow', (event) => { if (event.persisted) exchange(); });
  addEventListener('online', exchange);
  setInterval(() => { if (document.visibilityState === 'visible') exchange(); }, every);
  exchange();

  const stop = document.querySelector('[data-phone-stop]');
  if (stop) {
    stop.addEventListener('click', async () => {
      const answer = await fetch('/phone/exchange', { method: 'POST', headers: { Accept: 'application/json' } });
      const status = await answer.json();
      if (status.waiting > 0 || status.trouble) {
        stop.textContent = 'Not yet: first everything must be sent';
        return;
      }
      const registration = await navigator.serviceWorker.getRegistration();
      await registration.unregister();
      location.assign('/jobs');
    });
  }
})();
