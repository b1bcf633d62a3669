/**
 * Count how far on a pregnancy is, by the calendar.
 *
 * Both halves count days by the same few lines of arithmetic, so that neither
 * depends on what its language accepts as a date or on a time zone.
 */

import { ChecklistError } from "../errors.js";

// 40 weeks from the last menstrual period to the due date, by convention.
export const DUE_DAYS = 280;
// Below 34+0 every source but one advises against vacuum; from 34+0 to 36+6 a
// senior decides; 37+0 is term. Sources, read: CRICO OB Guideline 18 (34 weeks)
// and WHO Managing Complications in Pregnancy and Childbirth, 1st ed. (term).
// The RCOG's 2020 guideline draws its line at 32+0 (from memory).
export const PRETERM_DAYS = 34 * 7;
export const TERM_DAYS = 37 * 7;

const DATE = /^([0-9]{4})-([0-9]{2})-([0-9]{2})$/;
const MONTH_DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/**
 * Count the days from the last menstrual period to a day, both "2025-12-05".
 *
 * Negative when the day comes first. Throws date_malformed.
 */
export function gestationDays(lmpIso, onIso) {
  return dayOf(onIso) - dayOf(lmpIso);
}

/**
 * Count the days of pregnancy on a day from the due date, both "2025-12-05".
 *
 * Throws date_malformed.
 */
export function gestationFromDue(dueIso, onIso) {
  return DUE_DAYS - (dayOf(dueIso) - dayOf(onIso));
}

/** Split days of pregnancy into full weeks and days: 258 is [36, 6]. */
export function weeksDays(days) {
  const weeks = Math.floor(days / 7);
  return [weeks, days - 7 * weeks];
}

/** Place days of pregnancy: "below_34", "34_to_36" (to 36+6) or "term". */
export function band(days) {
  if (days < PRETERM_DAYS) return "below_34";
  return days < TERM_DAYS ? "34_to_36" : "term";
}

/** Number a day of the Gregorian calendar, one more each day. */
function dayOf(iso) {
  const found = DATE.exec(iso);
  if (!found) throw new ChecklistError("date_malformed");
  const [year, month, day] = found.slice(1).map(Number);
  if (year < 1 || month < 1 || month > 12 || day < 1 || day > monthDays(year, month)) {
    throw new ChecklistError("date_malformed");
  }
  const before = year - 1;
  const leapDays = Math.floor(before / 4) - Math.floor(before / 100) + Math.floor(before / 400);
  let months = 0;
  for (let earlier = 1; earlier < month; earlier += 1) months += monthDays(year, earlier);
  return before * 365 + leapDays + months + day;
}

function monthDays(year, month) {
  const isLeap = year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0);
  return month === 2 && isLeap ? 29 : MONTH_DAYS[month - 1];
}
