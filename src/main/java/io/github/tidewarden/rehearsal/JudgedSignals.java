package io.github.tidewarden.rehearsal;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.node.MissingNode;
import io.github.tidewarden.interlock.Condition;
import io.github.tidewarden.interlock.Verdict;
import io.github.tidewarden.sensing.SensorSpec;
import java.time.Instant;
import java.time.format.DateTimeParseException;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.function.DoublePredicate;
import java.util.stream.Collectors;
import java.util.stream.Stream;

/**
 * What the daemon can know of one tank, reckoned by the judge itself from the messages that reached
 * it: the last value of each sensor and its age, nothing smoothed, nothing from a retained message.
 */
final class JudgedSignals {

  /** A message that gives no number counts as one that is not plausible. */
  private record Heard(double value, long nanos) {}

  private static final ObjectMapper JSON = new ObjectMapper();

  private final Map<String, SensorSpec> sensors;
  private final Map<String, List<SensorSpec>> byTopic;
  private final Map<String, Heard> heard = new HashMap<>();

  /** The last count and time of each sensor that has one. */
  private final Map<String, Long> counts = new HashMap<>();

  private final Map<String, Instant> times = new HashMap<>();

  JudgedSignals(List<SensorSpec> specs) {
    sensors = specs.stream().collect(Collectors.toMap(SensorSpec::name, spec -> spec));
    byTopic = specs.stream().collect(Collectors.groupingBy(SensorSpec::topic));
  }

  /** The daemon is handed a message now. */
  void hears(SiteRig.Message message, boolean retained, long nowNanos) {
    List<SensorSpec> specs = byTopic.get(message.topic());
    if (retained || specs == null) {
      return;
    }
    JsonNode json = json(message.payload());
    for (SensorSpec sensor : specs) {
      if (isLater(sensor, json)) {
        heard.put(sensor.name(), new Heard(value(sensor, message.payload(), json), nowNanos));
      }
    }
  }

  /** A daemon that starts again has heard nothing. */
  void forget() {
    heard.clear();
    counts.clear();
    times.clear();
  }

  /** A value that needs no message. */
  void sees(String sensor, double value, long nowNanos) {
    heard.put(sensor, new Heard(value, nowNanos));
  }

  /**
   * Whether a message is later than the last one by the count or the time that its device gives it;
   * one that has neither where it ought to is no message.
   */
  private boolean isLater(SensorSpec sensor, JsonNode message) {
    boolean dated = !sensor.sequencePointer().isEmpty() || !sensor.timePointer().isEmpty();
    if (!dated || message.isMissingNode()) {
      return true; // what says nothing cannot be late: its value is none
    }
    try {
      long count = message.at(sensor.sequencePointer()).asLong(Long.MIN_VALUE);
      Instant time =
          sensor.timePointer().isEmpty()
              ? Instant.MIN
              : Instant.parse(message.at(sensor.timePointer()).asText());
      Long last = counts.get(sensor.name());
      Instant before = times.get(sensor.name());
      boolean later =
          (sensor.sequencePointer().isEmpty() || last == null || count > last)
              && (sensor.timePointer().isEmpty() || before == null || time.isAfter(before));
      if (later) {
        counts.put(sensor.name(), count);
        times.put(sensor.name(), time);
      }
      return later;
    } catch (DateTimeParseException e) {
      return true;
    }
  }

  private static double value(SensorSpec sensor, String payload, JsonNode message) {
    String text = at(sensor.pointer(), payload, message);
    if (!sensor.states().isEmpty()) {
      Boolean state = sensor.states().get(text);
      return state == null ? Double.NaN : state ? 1 : 0;
    }
    try {
      return Double.parseDouble(text) * sensor.scale();
    } catch (NumberFormatException e) {
      return Double.NaN;
    }
  }

  private static JsonNode json(String payload) {
    try {
      return JSON.readTree(payload);
    } catch (JsonProcessingException e) {
      return MissingNode.getInstance();
    }
  }

  private static String at(String pointer, String payload, JsonNode message) {
    return pointer.isEmpty() ? payload.strip() : message.at(pointer).asText();
  }

  /** The text at a place of a message; empty where there is none. */
  static String text(String pointer, String payload) {
    return at(pointer, payload, json(payload));
  }

  /** The last value; not a number when there is none. */
  double value(String sensor) {
    Heard last = heard.get(sensor);
    return last == null ? Double.NaN : last.value();
  }

  /**
   * Whether the last value counts.
   *
   * @param slackNanos so much older than its limit it may be
   */
  boolean isGood(String sensor, long nowNanos, long slackNanos) {
    Heard last = heard.get(sensor);
    SensorSpec spec = sensors.get(sensor);
    return last != null
        && spec != null
        && nowNanos - last.nanos() < spec.staleNanos() + slackNanos
        && last.value() >= spec.plausibleLow()
        && last.value() <= spec.plausibleHigh();
  }

  /** What a condition says, in the judge's own words; unknown where a signal does not count. */
  Verdict verdict(Condition condition, long nowNanos, long slackNanos) {
    if (condition instanceof Condition.Above above) {
      return one(above.signal(), nowNanos, slackNanos, value -> value >= above.limit());
    } else if (condition instanceof Condition.Below below) {
      return one(below.signal(), nowNanos, slackNanos, value -> value <= below.limit());
    } else if (condition instanceof Condition.Outside outside) {
      return one(
          outside.signal(),
          nowNanos,
          slackNanos,
          value -> value <= outside.low() || value >= outside.high());
    } else if (condition instanceof Condition.Is is) {
      return one(is.signal(), nowNanos, slackNanos, value -> (value != 0) == is.state());
    } else if (condition instanceof Condition.Apart apart) {
      return apart(apart, nowNanos, slackNanos);
    } else if (condition instanceof Condition.Not not) {
      return opposite(verdict(not.part(), nowNanos, slackNanos));
    } else if (condition instanceof Condition.AllOf all) {
      // Not all of them is: any of their opposites.
      return opposite(
          any(all.parts().stream().map(part -> opposite(verdict(part, nowNanos, slackNanos)))));
    } else if (condition instanceof Condition.AnyOf any) {
      return any(any.parts().stream().map(part -> verdict(part, nowNanos, slackNanos)));
    }
    throw new IllegalArgumentException("no condition that is known: " + condition);
  }

  private Verdict one(String signal, long nowNanos, long slackNanos, DoublePredicate holds) {
    return isGood(signal, nowNanos, slackNanos) ? told(holds.test(value(signal))) : Verdict.UNKNOWN;
  }

  private Verdict apart(Condition.Apart apart, long nowNanos, long slackNanos) {
    double least = Double.POSITIVE_INFINITY;
    double most = Double.NEGATIVE_INFINITY;
    for (String name : apart.names()) {
      if (!isGood(name, nowNanos, slackNanos)) {
        return Verdict.UNKNOWN;
      }
      least = Math.min(least, value(name));
      most = Math.max(most, value(name));
    }
    return told(most - least >= apart.limit());
  }

  private static Verdict any(Stream<Verdict> parts) {
    List<Verdict> all = parts.toList();
    return all.contains(Verdict.TRUE)
        ? Verdict.TRUE
        : all.contains(Verdict.UNKNOWN) ? Verdict.UNKNOWN : Verdict.FALSE;
  }

  private static Verdict opposite(Verdict verdict) {
    return switch (verdict) {
      case TRUE -> Verdict.FALSE;
      case FALSE -> Verdict.TRUE;
      case UNKNOWN -> Verdict.UNKNOWN;
    };
  }

  private static Verdict told(boolean holds) {
    return holds ? Verdict.TRUE : Verdict.FALSE;
  }
}
