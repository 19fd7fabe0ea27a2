import { holdOwnLoadGoals } from "./own-load-goals.js";

holdOwnLoadGoals("rectangular");
