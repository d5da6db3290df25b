package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.schedule.Interval;
import io.github.tidewarden.schedule.WindowSpec;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalDateTime;
import java.time.LocalTime;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.List;

/** When something can happen in a night: the windows, some minutes before and some after. */
final class Busy {

  /** A level has to be seen at rest for ten minutes before anything moves. */
  private static final Duration BEFORE = Duration.ofMinutes(15);

  /** What was begun in a window is brought to its end after it. */
  private static final Duration AFTER = Duration.ofMinutes(15);

  private Busy() {}

  /** The spans of a night, at least one where a tank has a window in it. */
  static List<Interval> of(SiteSpec spec, LocalDate night) {
    List<Interval> spans = new ArrayList<>();
    for (TankSpec tank : spec.tanks()) {
      if (tank.ozone() != null) {
        tank.ozone().windows().forEach(window -> add(spans, window, night, spec.zone()));
      }
      if (tank.exchange() != null) {
        tank.exchange().windows().forEach(window -> add(spans, window, night, spec.zone()));
      }
    }
    return spans;
  }

  private static void add(List<Interval> spans, WindowSpec window, LocalDate night, ZoneId zone) {
    if (!window.days().contains(night.getDayOfWeek())) {
      return;
    }
    LocalDate day = window.from().isBefore(LocalTime.NOON) ? night.plusDays(1) : night;
    LocalDateTime from = day.atTime(window.from());
    LocalDateTime to = day.atTime(window.to());
    Duration length =
        Duration.between(from, window.to().isAfter(window.from()) ? to : to.plusDays(1));
    Instant start = from.atZone(zone).toInstant();
    spans.add(new Interval(start.minus(BEFORE), start.plus(length).plus(AFTER)));
  }
}
