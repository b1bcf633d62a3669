/**
 * The pages that no pull waits for: they are read behind the first picture.
 */

import { afterPage } from "./after.js";
import { casesPage } from "./cases.js";
import { recordPage } from "./record.js";
import { settingsPage } from "./settings.js";

export const LATER = { after: afterPage, record: recordPage, cases: casesPage, settings: settingsPage };
