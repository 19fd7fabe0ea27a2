import { holdTranslatedGoals } from "./translated-goals.js";

holdTranslatedGoals("lihv");
