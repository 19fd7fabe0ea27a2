import { keepChecklist } from "../plan/checklist.js";
import { DraftForm } from "../plan/draft-form.js";

if (document.getElementById("draft")) new DraftForm();
keepChecklist();
