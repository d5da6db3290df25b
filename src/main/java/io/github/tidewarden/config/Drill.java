package io.github.tidewarden.config;

import io.github.tidewarden.quantity.Figures;
import java.nio.file.Path;
import java.time.Instant;
import java.time.ZoneId;
import java.util.List;
import java.util.Map;
import java.util.concurrent.TimeUnit;

/**
 * A keeper's own case, checked against a configuration: what is given, and what must come of it.
 * Times are nanoseconds since its start.
 *
 * @param file the file that it was read from
 * @param name what it is called
 * @param tank the tank that it is about
 * @param start when it starts, by the true time
 * @param zone the site's
 * @param seed of all that is drawn
 * @param clockTrusted whether the wall clock has been shown to be right at the start
 * @param given what happens, in the order of its times
 * @param expectations in the order of the file
 */
public record Drill(
    Path file,
    String name,
    String tank,
    Instant start,
    ZoneId zone,
    long seed,
    boolean clockTrusted,
    List<Given> given,
    List<Expectation> expectations) {

  /** From one report of a sensor to the next where nothing else is said, ns. */
  public static final long USUAL_EVERY_NANOS = TimeUnit.SECONDS.toNanos(5);

  /** Copies the lists. */
  public Drill {
    given = List.copyOf(given);
    expectations = List.copyOf(expectations);
  }

  /** What happens at a time. */
  public sealed interface Given {
    /** When, ns since the start. */
    long atNanos();
  }

  /**
   * From now on a sensor of the tank, its room or its shared equipment does this.
   *
   * @param everyNanos from one report to the next, positive
   */
  public record SensorTurns(long atNanos, String sensor, Sense sense, long everyNanos)
      implements Given {}

  /** From now on a device is in this state. */
  public record DeviceTurns(long atNanos, String device, DeviceState state) implements Given {}

  /** The wall clock jumps, forward or back. */
  public record ClockSteps(long atNanos, long byNanos) implements Given {}

  /** The time service shows that the wall clock is right. */
  public record ClockShown(long atNanos) implements Given {}

  /** The broker is reached, or lost. */
  public record LinkTurns(long atNanos, boolean up) implements Given {}

  /**
   * A keeper asks for something.
   *
   * @param request the fields of the request, but its id and when it was sent
   * @param done whether it must be done; else it must be refused
   */
  public record KeeperAsks(long atNanos, Map<String, String> request, boolean done, Spot spot)
      implements Given {
    /** Copies the map. */
    public KeeperAsks {
      request = Map.copyOf(request);
    }
  }

  /** What a sensor says. */
  public sealed interface Sense {}

  /** What it sees of the simulated tank, with its noise. */
  public record Follows() implements Sense {}

  /** The same and so much more, in the core's unit; less when negative. */
  public record IsOff(double by) implements Sense {}

  /**
   * Exactly a value, in the core's unit: from one to another in a straight line, then that. A
   * contact is 1 or 0.
   *
   * @param overNanos how long it takes; 0 where both are the same
   */
  public record Reads(double from, double to, long overNanos) implements Sense {

    /** The value so long after it began. */
    public double at(long nanos) {
      return nanos >= overNanos ? to : from + (to - from) * Math.max(0, nanos) / overNanos;
    }
  }

  /** Nothing. */
  public record IsSilent() implements Sense {}

  /** Again and again what it said last. */
  public record IsFrozen() implements Sense {}

  /** This text, in place of its whole message. */
  public record Says(String payload) implements Sense {}

  /** What is with a device. */
  public enum DeviceState {
    /** It obeys, and drops out by itself. */
    SOUND("sound"),
    /** Its contact, once closed, stays closed. */
    WELDED("welded"),
    /** It does not hear that it should run. */
    DEAF("deaf"),
    /** It reports nothing. */
    MUTE("mute"),
    /** It lost its power for a moment, and runs when it has it again. */
    WAKES_ON("wakes-on"),
    /** It has no power. */
    UNPOWERED("unpowered");

    private final String word;

    DeviceState(String word) {
      this.word = word;
    }

    /** The word used in drills. */
    public String word() {
      return word;
    }
  }

  /** Where something stands in the file: line and column, from 1. */
  public record Spot(int line, int column) {
    @Override
    public String toString() {
      return line + ":" + column;
    }
  }

  /** How claims are to hold in the time of their expectation. */
  public enum Span {
    /** At its one moment. */
    AT,
    /** From the first moment to the last. */
    THROUGHOUT,
    /** Not before the first moment, but at one from then up to the last. */
    WITHIN
  }

  /**
   * What must be.
   *
   * @param fromNanos the first moment
   * @param toNanos the last; the same for {@link Span#AT}
   */
  public record Expectation(Span span, long fromNanos, long toNanos, List<Claim> claims) {
    /** Copies the list. */
    public Expectation {
      claims = List.copyOf(claims);
    }
  }

  /** What can be told of a tank. */
  public enum Fact {
    /** A device truly runs. */
    ON,
    /** The last that a device was told is to run. */
    TOLD_TO_RUN,
    /** The trip of an interlock stands, or is latched. */
    TRIPPED,
    /** A latch stands. */
    LATCHED,
    /** The last trip was a consequence of this one, or this one itself. */
    FIRST_OUT,
    /** A keeper holds it. */
    HELD,
    /** It was told: a notice, the loss of a signal, or what a device did. */
    NOTICE,
    /** The exchange is in this phase. */
    PORTION
  }

  /**
   * One thing that must be, or must not be.
   *
   * @param key the word of the file that it stands under
   * @param name of what the fact is told
   * @param holds whether it must be so
   */
  public record Claim(String key, Fact fact, String name, boolean holds, Spot spot) {}

  /** When its last expectation is over, ns since the start. */
  public long endNanos() {
    return expectations.stream().mapToLong(Expectation::toNanos).max().orElse(0);
  }

  /** How many single things it expects, the answers to its keeper among them. */
  public int claims() {
    int asked = (int) given.stream().filter(KeeperAsks.class::isInstance).count();
    return asked + expectations.stream().mapToInt(each -> each.claims().size()).sum();
  }

  /** A time of it for a person: "01:40:10, 20 min 10 s after the start". */
  public String told(long nanos) {
    return Figures.clockSeconds(start.plusNanos(nanos), zone) + ", " + after(nanos);
  }

  private static String after(long nanos) {
    return nanos == 0 ? "the start" : span(nanos) + " after the start";
  }

  /** A span of time in hours, minutes and whole seconds, such as "20 min 10 s". */
  public static String span(long nanos) {
    long seconds = Math.round(nanos / 1e9);
    StringBuilder text = new StringBuilder();
    part(text, seconds / 3600, "h");
    part(text, seconds / 60 % 60, "min");
    part(text, seconds % 60, "s");
    return text.length() == 0 ? "0 s" : text.toString();
  }

  private static void part(StringBuilder text, long count, String unit) {
    if (count > 0) {
      text.append(text.length() == 0 ? "" : " ").append(count).append(' ').append(unit);
    }
  }
}
