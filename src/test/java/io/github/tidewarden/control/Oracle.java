package io.github.tidewarden.control;

import io.github.tidewarden.gate.Command;
import io.github.tidewarden.quantity.Moment;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import org.jspecify.annotations.Nullable;

/**
 * Judges one tank by the invariants of DEVELOPERS.md: from what was sent to the core, what it
 * commanded and what it recorded. Knows nothing of how the core decides and shares no code with it.
 *
 * <p>The tank: two probes with a ceiling of 400 mV and a band from 340 mV, air that must be over 3
 * L/min, room ozone that must be under 100 ppb, a window from 01:30 to 03:00 UTC, a generator with
 * a drop-out of 30 s.
 */
final class Oracle {
  static final long SECOND = 1_000_000_000L;
  private static final LocalTime FROM = LocalTime.of(1, 30);
  private static final Duration LENGTH = Duration.ofMinutes(90);
  private static final int DROP_OUT_SECONDS = 30;
  private static final double CEILING = 400;
  private static final double BAND = 340;

  /** What this tank's sensors said, as far as it may be believed. */
  private static final class Heard {
    final long staleNanos;
    double value;
    long nanos;
    boolean believed;

    Heard(long staleSeconds) {
      staleNanos = staleSeconds * SECOND;
    }
  }

  /** What the records on disk say. */
  private static final class Ledger {
    final Set<String> latches = new HashSet<>();
    final Set<String> opened = new HashSet<>();
    final Set<String> closed = new HashSet<>();
    final Map<Long, Long> reservedMillis = new HashMap<>();

    void apply(AuditRecord record) {
      Map<String, Object> fields = record.fields();
      switch (record.kind()) {
        case TRIP, LATCHED, SILENT -> {
          if ((Boolean) fields.get("latched")) {
            latches.add((String) fields.get("name"));
          }
        }
        case FAULT -> latches.add("internal-fault");
        case ACT -> {
          if (fields.get("act").equals("reset")) {
            latches.remove((String) fields.get("name"));
          }
        }
        case WINDOW_OPENED -> opened.add((String) fields.get("window"));
        case WINDOW_CLOSED, MISSED -> closed.add((String) fields.get("window"));
        case RESERVED ->
            reservedMillis.merge(
                (Long) fields.get("run"), (Long) fields.get("reserve-ms"), Long::sum);
        default -> {}
      }
    }
  }

  final String tank;
  private final long perNightNanos;
  private final long per24hNanos;
  private final long shortestOffNanos;
  private final boolean clockIsHonest;
  private final Map<String, Heard> sensors = new TreeMap<>();
  private Ledger ledger = new Ledger();

  // The daemon's life, by the clock of its boot.
  private boolean linkUp;
  private boolean ended;
  private long settledNanos;
  private long mayRunNanos;
  private boolean overCeiling;
  private @Nullable Command last;
  private long lastNanos;
  private long runStartNanos;
  private long runNumber;
  private @Nullable String windowOfLife;
  private long windowNanos;

  // The world, by real time.
  private final SlowGenerator generator = new SlowGenerator();
  private final Map<LocalDate, Long> onNanos = new HashMap<>();
  private final List<long[]> spans = new ArrayList<>();
  private @Nullable LocalDate nightOfRun;
  private @Nullable String windowOfRun;

  /** Runs that began, so that a test can see that there were some. */
  int runs;

  Oracle(
      String tank,
      Duration perNight,
      Duration per24h,
      Duration shortestOff,
      boolean clockIsHonest) {
    this.tank = tank;
    perNightNanos = perNight.toNanos();
    per24hNanos = per24h.toNanos();
    shortestOffNanos = shortestOff.toNanos();
    this.clockIsHonest = clockIsHonest;
    forgets();
  }

  private void forgets() {
    sensors.put("redox-a", new Heard(60));
    sensors.put("redox-b", new Heard(60));
    sensors.put("skimmer-air", new Heard(30));
    sensors.put("room-ozone", new Heard(60));
    linkUp = false;
    ended = false;
    overCeiling = false;
    last = null;
    windowOfLife = null;
    settledNanos = Long.MIN_VALUE;
  }

  // What the core is told.

  /** A message on a sensor's topic; no value is one that cannot be believed. */
  void hears(String sensor, @Nullable Double value, boolean retained, long nanos) {
    Heard heard = sensors.get(sensor);
    if (retained) {
      return;
    }
    if (value == null) {
      heard.believed = false;
      return;
    }
    heard.value = value;
    heard.nanos = nanos;
    heard.believed = nanos >= settledNanos;
  }

  void loses(String sensor) {
    sensors.get(sensor).believed = false;
  }

  /** A connect or a standstill: all that was heard is old, and so may be what comes at once. */
  void doubtsAll(long nanos) {
    sensors.values().forEach(heard -> heard.believed = false);
    settledNanos = nanos + 2 * SECOND;
  }

  void link(boolean up) {
    linkUp = up;
  }

  void ends() {
    ended = true;
  }

  /** A new life of the daemon, which knows only these records. */
  void starts(List<AuditRecord> survived, long nanos) {
    forgets();
    ledger = new Ledger();
    survived.forEach(this::durable);
    mayRunNanos = nanos + shortestOffNanos;
  }

  /** A record that is in force now. */
  void durable(AuditRecord record) {
    if (record.tank().equals(tank)) {
      ledger.apply(record);
    }
  }

  // What the world does.

  /** Time passes; the generator drops out by itself. */
  void passes(long from, long to) {
    long end = generator.runsUntil(to);
    if (end > from && nightOfRun != null) {
      onNanos.merge(nightOfRun, end - from, Long::sum);
      spans.add(new long[] {from, end});
    }
  }

  SlowGenerator generator() {
    return generator;
  }

  // What the core commanded.

  void commanded(Command command, Moment now, long real, long delay) {
    check(command.tank().equals(tank), "a command for another tank", "");
    check(
        command.topic().equals("lab/" + tank + "/ozone/set"),
        "a command on another topic",
        command.topic());
    if (linkUp) {
      generator.isSent(command, real, delay);
    }
    if (command.runs()) {
      judgeRun(command, now.wall(), now.trusted(), now.monoNanos());
    }
    last = command;
    lastNanos = now.monoNanos();
  }

  private void judgeRun(Command command, Instant wall, boolean trusted, long nanos) {
    long boundSeconds = (long) command.leaseSeconds() + Math.max(1, command.leaseSeconds() / 3);
    check(command.leaseSeconds() <= DROP_OUT_SECONDS, "4: a lease over the drop-out", command);
    check(command.expirySeconds() == Math.max(1, command.leaseSeconds() / 3), "expiry", command);
    check(trusted, "1: a run with an untrusted clock", command);
    Instant end = windowEnd(wall);
    check(end != null, "1: a run outside a window", wall);
    check(!wall.plusSeconds(boundSeconds).isAfter(end), "1: a lease beyond the window", wall);
    String window = windowId(wall);
    if (!isLive(nanos)) {
      runs++;
      runStartNanos = nanos;
      runNumber = 0;
      check(nanos >= mayRunNanos, "5: a run within its rest", (mayRunNanos - nanos) / SECOND);
      for (String probe : List.of("redox-a", "redox-b")) {
        check(sensors.get(probe).value < BAND, "a start above the band", sensors.get(probe).value);
      }
      windowOfRun = window;
      nightOfRun = LocalDate.parse(window.substring(0, 10));
    }
    if (!window.equals(windowOfLife)) {
      windowOfLife = window;
      windowNanos = nanos;
    }
    check(
        nanos - windowNanos <= LENGTH.plusSeconds(2).toNanos(),
        "1: a window longer than it is by the monotonic clock",
        window);
  }

  // What must hold after every step.

  /** A run was recorded in this step, after its command. */
  void began(AuditRecord record) {
    runNumber = (Long) record.fields().get("run");
  }

  /** A probe that is needed was lost, or the run ended otherwise. */
  void afterStep(Moment now, boolean interrupted) {
    long nanos = now.monoNanos();
    seesCeiling(nanos);
    if (!isLive(nanos)) {
      return;
    }
    String why = forbids(now.wall(), now.trusted(), nanos, interrupted);
    check(why == null, "a run goes on though " + why, "");
    Command command = last;
    long boundNanos =
        lastNanos
            - runStartNanos
            + ((long) command.leaseSeconds() + command.expirySeconds()) * SECOND;
    Long reserved = ledger.reservedMillis.get(runNumber);
    check(
        reserved != null && boundNanos <= reserved * 1_000_000,
        "10: run " + runNumber + " for " + boundNanos / SECOND + " s without a reservation",
        reserved);
  }

  private boolean isLive(long nanos) {
    Command command = last;
    return command != null && command.runs() && nanos - lastNanos < command.leaseSeconds() * SECOND;
  }

  /** At the ceiling: rest, and 10 min more from when every probe is below the band. */
  private void seesCeiling(long nanos) {
    boolean over = false;
    boolean below = true;
    for (String probe : List.of("redox-a", "redox-b")) {
      Heard heard = sensors.get(probe);
      over |= good(heard, nanos) && heard.value >= CEILING;
      below &= good(heard, nanos) && heard.value < BAND;
    }
    if (over) {
      overCeiling = true;
    } else if (overCeiling && below) {
      overCeiling = false;
      mayRunNanos = Math.max(mayRunNanos, nanos + 600 * SECOND);
    }
  }

  private @Nullable String forbids(Instant wall, boolean trusted, long nanos, boolean interrupted) {
    if (interrupted || ended || !linkUp) {
      return "7: it was interrupted, or the link is down";
    }
    if (!trusted) {
      return "1: the clock is not trusted";
    }
    if (windowEnd(wall) == null) {
      return "1: no window is open";
    }
    String id = windowId(wall);
    if (ledger.closed.contains(id) || !ledger.opened.contains(id)) {
      return "1: the window " + id + " is over, or was never opened";
    }
    if (nanos < mayRunNanos || overCeiling) {
      return "5: it rests";
    }
    if (!ledger.latches.isEmpty()) {
      return "5: " + ledger.latches + " is latched";
    }
    for (Map.Entry<String, Heard> entry : sensors.entrySet()) {
      Heard heard = entry.getValue();
      if (!good(heard, nanos)) {
        return "2, 11: " + entry.getKey() + " is not good";
      }
      boolean limit =
          switch (entry.getKey()) {
            case "skimmer-air" -> heard.value <= 3;
            case "room-ozone" -> heard.value >= 100;
            default -> heard.value >= CEILING;
          };
      if (limit) {
        return "2, 5: " + entry.getKey() + " is " + heard.value;
      }
    }
    return null;
  }

  private static boolean good(Heard heard, long nanos) {
    return heard.believed && nanos - heard.nanos < heard.staleNanos;
  }

  /** What really ran against what is remembered and what is allowed. */
  void judgeTotals(TankMemory memory, long real) {
    LocalDate night = nightOfRun;
    if (night == null) {
      return;
    }
    long on = onNanos.getOrDefault(night, 0L);
    check(on <= perNightNanos, "3: the night's allowance is passed", on / SECOND);
    check(
        ledger.closed.contains(windowOfRun) || memory.spentInNightMillis(night) * 1_000_000 >= on,
        "8: more ran than is remembered",
        memory.spentInNightMillis(night) + " ms of " + on / 1_000_000);
    if (clockIsHonest) {
      long sum = 0;
      for (int i = spans.size() - 1; i >= 0; i--) {
        long from = Math.max(spans.get(i)[0], real - 86_400 * SECOND);
        sum += Math.max(0, spans.get(i)[1] - from);
      }
      check(sum <= per24hNanos, "3: the rolling 24 h are passed", sum / SECOND);
    }
  }

  private static @Nullable Instant windowEnd(Instant wall) {
    Instant from = wall.atZone(ZoneOffset.UTC).toLocalDate().atTime(FROM).toInstant(ZoneOffset.UTC);
    Instant to = from.plus(LENGTH);
    return wall.isBefore(from) || !wall.isBefore(to) ? null : to;
  }

  private static String windowId(Instant wall) {
    return wall.atZone(ZoneOffset.UTC).toLocalDate().minusDays(1) + "#0";
  }

  private void check(boolean holds, String what, Object with) {
    if (!holds) {
      throw new AssertionError(tank + ": " + what + " (" + with + ")");
    }
  }
}
