/**
 * The band of one stage of suction at this post: its row, and where the air ends it.
 */

import { reachable } from "../core/limits.js";
import { floorShown } from "../ui/gauge.js";

/** Give the protocol's row for a stage of suction. */
export function suctionRow(protocol, stage) {
  return protocol.limits.find((limit) => limit.judge === "suction" && limit.stage === stage);
}

/** Give the highest reading to aim at, in thousandths of a unit: the ceiling, or less where the air ends. */
export function topReading({ theCase, protocol }, row, unit) {
  const reach = reachable(theCase, protocol);
  return reach === null ? row.ceiling[unit] : Math.min(row.ceiling[unit], floorShown(unit, reach));
}
