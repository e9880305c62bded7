// What the pages gain when scripts run. Every page works without: these only
// add to plain links and forms. Each part says which data-attributes it reads;
// the package comment of web/ui lists them all.
import { answers } from "./answer";
import { awake } from "./awake";
import { boltTaps } from "./boltmap";
import { hold } from "./hold";
import { idle } from "./idle";
import { looks } from "./looks";
import { keys } from "./keys";
import { live } from "./live";
import { once } from "./once";
import { photos } from "./photo";
import { retrace } from "./retrace";
import { share } from "./share";
import { sounds } from "./sound";
import { speak } from "./speak";
import { tabs } from "./tabs";
import { taps } from "./taps";
import { theme } from "./theme";
import { timers } from "./timers";
import { toasts } from "./toast";

document.documentElement.classList.add("live");
theme();
looks();
tabs();
once(); // before hold and photos: they send forms themselves
hold();
photos();
sounds();
keys();
boltTaps();
speak();
share();
idle();
awake();
timers();
live();
toasts();
answers();
taps();
retrace();
