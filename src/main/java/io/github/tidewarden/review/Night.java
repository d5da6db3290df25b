package io.github.tidewarden.review;

import io.github.tidewarden.control.Kind;
import io.github.tidewarden.review.Happening.Sort;
import io.github.tidewarden.review.ReviewedSite.ReviewedTank;
import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Set;
import java.util.TreeSet;
import org.jspecify.annotations.Nullable;

/**
 * What is told of one night, or of the end of one.
 *
 * @param span which
 * @param site what happened to the site
 * @param tanks those of the configuration, then others that have records
 * @param records how many records lie in the span
 * @param last the last of them; null when there is none
 */
record Night(
    Span span, List<Happening> site, List<TankNight> tanks, long records, @Nullable Mark last) {

  /** Everything that the records read say of the site and its tanks, told once for all nights. */
  record Stories(List<Entry> entries, List<Happening> site, List<TankStory> tanks) {

    static Stories of(Past past, List<Entry> entries, List<String> names) {
      return new Stories(
          entries,
          SiteStory.of(entries, past.remarks()),
          names.stream().map(name -> TankStory.of(name, entries)).toList());
    }
  }

  /** Names of the tanks of a site: the configured ones, then those that only the records know. */
  static List<String> tankNames(ReviewedSite site, List<Entry> entries) {
    Set<String> names = new LinkedHashSet<>();
    site.tanks().stream().map(ReviewedTank::name).forEach(names::add);
    Set<String> others = new TreeSet<>();
    entries.stream().map(Entry::tank).filter(name -> !name.isEmpty()).forEach(others::add);
    names.addAll(others);
    return List.copyOf(names);
  }

  static Night of(Span span, ReviewedSite site, List<String> names, Stories stories) {
    Ledger ledger = Ledger.at(stories.entries(), span, site);
    List<TankNight> tanks = new ArrayList<>();
    for (int i = 0; i < names.size(); i++) {
      String name = names.get(i);
      TankNight tank =
          TankNight.of(site.tank(name), stories.tanks().get(i), stories.entries(), span, ledger);
      if (i < site.tanks().size() || tank.recorded()) {
        tanks.add(tank);
      }
    }
    List<Mark> marks =
        stories.entries().stream()
            .filter(entry -> entry.kind() != Kind.CHECKPOINT)
            .map(Entry::mark)
            .filter(mark -> mark.isIn(span))
            .toList();
    return new Night(
        span,
        stories.site().stream().filter(happening -> happening.touches(span)).toList(),
        List.copyOf(tanks),
        marks.size(),
        marks.isEmpty() ? null : marks.get(marks.size() - 1));
  }

  boolean isQuiet() {
    return site.isEmpty() && tanks.stream().allMatch(TankNight::isQuiet);
  }

  List<Happening> of(Sort sort) {
    return site.stream().filter(happening -> happening.sort() == sort).toList();
  }
}
