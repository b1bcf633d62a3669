/**
 * The pages that no pull waits for: they are read behind the first picture.
 */

import { afterPage } from "./after.js";
import { cardPage } from "./card.js";
import { casesPage } from "./cases.js";
import { debriefPage } from "./debrief.js";
import { handoverPage } from "./handover.js";
import { kitPage } from "./kit.js";
import { lockedPage } from "./locked.js";
import { practicePage } from "./practice.js";
import { recordPage } from "./record.js";
import { settingsPage } from "./settings.js";
// What marks lines must be there before the station may be gone.
import "../ui/not_yet.js";

export const LATER = {
  after: afterPage, record: recordPage, handover: handoverPage, cases: casesPage, settings: settingsPage, locked: lockedPage,
  kit: kitPage, card: cardPage, practice: practicePage, debrief: debriefPage,
};
