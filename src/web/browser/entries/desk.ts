import { Desk } from "../desk/desk.js";

new Desk();
