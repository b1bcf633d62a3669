/**
 * What a case is told as it opens: how real it is, by which release and language, at which post.
 */

/** Give the facts of an opening; `post` is null while no station told of one, `told` may add to them. */
export function openingFacts({ mode, release, language, post }, told) {
  return { mode, release, language, ...known(post), ...told };
}

function known(post) {
  if (post === null) return {};
  const { post: name, altitude_m, gauge_unit, same_contraction_s } = post;
  return { post: name, gauge_unit, same_contraction_s, ...(altitude_m !== undefined && { altitude_m }) };
}
