import { CheckPage } from "../check/check-page.js";

new CheckPage();
