import { holdTranslatedGoals } from "./translated-goals.js";

holdTranslatedGoals("lifepo4");
