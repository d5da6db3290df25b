package io.github.tidewarden.control;

import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.schedule.NightPlan;
import io.github.tidewarden.schedule.Nights;
import io.github.tidewarden.schedule.OpenWindow;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Objects;
import org.jspecify.annotations.Nullable;

/**
 * Opens and closes windows for good: each is recorded when it opens and when it closes, and what
 * has closed does not open again, whatever the wall clock says later. A window is also over when
 * its length has passed by the monotonic clock.
 */
final class WindowKeeper {

  /** How many nights back are looked through for windows in which the daemon did not run. */
  private static final int MOST_NIGHTS_BACK = 14;

  /** A gap in trusted time that is shorter than this holds no window. */
  private static final Duration SHORTEST_GAP = Duration.ofMinutes(1);

  /** How much longer than its length a window may look by the monotonic clock. */
  private static final Duration SLACK = Duration.ofSeconds(2);

  private static final String UNWATCHED =
      "nothing was given: the daemon did not run, its clock was not trusted, or the tank had failed";

  private final Turn turn;

  WindowKeeper(Turn turn) {
    this.turn = turn;
  }

  /** The window that is open now; null for none, and always while the clock is not trusted. */
  @Nullable OpenWindow openWindow() {
    if (turn.tank.spec.ozone() == null || !turn.now.trusted()) {
      return null;
    }
    OpenWindow open = turn.plan.openAt(turn.now.wall());
    TankMemory.OpenedWindow opened = turn.memory.opened();
    if (opened != null && (open == null || !open.id().equals(opened.id()))) {
      close(opened, "the window is over");
    } else if (opened != null && open != null && outlasted(opened, open)) {
      close(opened, "its time has passed by the monotonic clock");
    }
    lookBack();
    if (open == null || turn.memory.closed().contains(open.id())) {
      return null;
    }
    if (turn.memory.opened() == null) {
      opens(open);
    }
    return open;
  }

  private boolean outlasted(TankMemory.OpenedWindow opened, OpenWindow open) {
    long sinceMillis = turn.now.monoNanos() / 1_000_000 - opened.monoMillis();
    return opened.boot().equals(turn.before.boot())
        && sinceMillis >= open.interval().length().plus(SLACK).toMillis();
  }

  private void opens(OpenWindow open) {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.WINDOW, open.id());
    fields.put("from", open.interval().start().toString());
    fields.put("to", open.interval().end().toString());
    turn.narrator.windowOpens();
    turn.write(Kind.WINDOW_OPENED, "a window for ozone opens", fields);
    new ProbeKeeper(turn, Objects.requireNonNull(turn.tank.spec.ozone())).windowOpens();
    turn.care.windowOpens();
  }

  private void close(TankMemory.OpenedWindow opened, String why) {
    String id = opened.id();
    LocalDate night = LocalDate.parse(id.substring(0, id.indexOf('#')));
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.WINDOW, id);
    turn.narrator.windowCloses(night, opened.runs(), why, fields);
  }

  /** After a gap: windows that came and went while nobody watched over them. */
  private void lookBack() {
    Instant since = turn.watchedUntil;
    OzoneSpec ozone = turn.tank.spec.ozone();
    turn.watchedUntil = turn.now.wall();
    if (since == null || ozone == null || turn.now.wall().isBefore(since.plus(SHORTEST_GAP))) {
      return;
    }
    LocalDate last = turn.plan.night();
    LocalDate first = Nights.nightOf(since, turn.tank.zone);
    if (first.isBefore(last.minusDays(MOST_NIGHTS_BACK))) {
      first = last.minusDays(MOST_NIGHTS_BACK);
    }
    for (LocalDate night = first; !night.isAfter(last); night = night.plusDays(1)) {
      for (OpenWindow gone : NightPlan.of(night, turn.tank.zone, ozone.windows()).windows()) {
        if (gone.interval().end().isAfter(since)
            && !gone.interval().end().isAfter(turn.now.wall())
            && !turn.memory.closed().contains(gone.id())) {
          Map<String, Object> fields = new LinkedHashMap<>();
          fields.put(Fields.WINDOW, gone.id());
          fields.put("from", gone.interval().start().toString());
          fields.put("to", gone.interval().end().toString());
          turn.write(Kind.MISSED, UNWATCHED, fields);
        }
      }
    }
  }
}
