package io.github.tidewarden.review;

import java.util.ArrayList;
import java.util.List;

/**
 * The same thing told several times in a row.
 *
 * @param first the first time
 * @param last the last time
 * @param times how often
 */
record Repeated(Happening first, Happening last, int times) {

  /** Joins those that follow each other and say the same. */
  static List<Repeated> of(List<Happening> happenings) {
    List<Repeated> joined = new ArrayList<>();
    for (Happening happening : happenings) {
      int end = joined.size() - 1;
      Repeated before = end < 0 ? null : joined.get(end);
      if (before != null && before.says(happening)) {
        joined.set(end, new Repeated(before.first(), happening, before.times() + 1));
      } else {
        joined.add(new Repeated(happening, happening, 1));
      }
    }
    return joined;
  }

  private boolean says(Happening other) {
    return last.name().equals(other.name())
        && last.what().equals(other.what())
        && last.latched() == other.latched();
  }
}
