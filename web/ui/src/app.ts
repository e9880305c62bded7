// What the pages gain when scripts run. Every page works without: these only
// add to plain links and forms. See the package comment of web/ui for the
// data-attributes.
import { theme } from "./theme";

document.documentElement.classList.add("live");
theme();
