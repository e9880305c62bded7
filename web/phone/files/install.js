// On the page, behind getting.js, that offers to keep Lastbolt on this phone: at a tap it has the
// worker fetch the program and then take in what the server has.
const button = document.querySelector('[data-install]');
const bar = document.querySelector('[data-install-bar]');
const say = (text) => { document.querySelector('[data-install-say]').textContent = text; };

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
    await fetched(0, (part) => { bar.value = part; });
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
