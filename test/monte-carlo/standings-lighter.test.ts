import { holdStandingGoals } from "./standing-goals.js";

holdStandingGoals("lighter");
