package io.github.tidewarden.rehearsal;

import io.github.tidewarden.sensing.SensorSpec;
import java.math.BigDecimal;
import java.math.MathContext;
import java.time.Instant;
import java.time.temporal.ChronoUnit;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.function.DoubleSupplier;

/** All sensors that report in the messages of one topic, each in the form that its spec expects. */
final class SensorTopic {

  private static final MathContext DIGITS = new MathContext(7);

  private record Source(SensorSpec spec, SimulatedSensor sensor, DoubleSupplier truth) {
    boolean plain() {
      return spec.pointer().isEmpty();
    }
  }

  private final String topic;
  private final List<Source> sources = new ArrayList<>();
  private long sequence;
  private long staleNanos = Long.MAX_VALUE;
  private long spokeNanos = Long.MIN_VALUE / 2;

  SensorTopic(String topic) {
    this.topic = topic;
  }

  /**
   * Another sensor in the same messages; {@code truth} is what it looks at.
   *
   * @throws IllegalArgumentException when one of several sensors would be the whole message
   */
  void add(SensorSpec spec, SimulatedSensor sensor, DoubleSupplier truth) {
    boolean plain = spec.pointer().isEmpty() || sources.stream().anyMatch(Source::plain);
    if (plain && !sources.isEmpty()) {
      throw new IllegalArgumentException("two sensors in the plain messages of " + topic);
    }
    staleNanos = Math.min(staleNanos, spec.staleNanos());
    sources.add(new Source(spec, sensor, truth));
  }

  /**
   * Whether it is time to speak: the next call, so much later, would come after a third of the
   * shortest stale limit.
   */
  boolean isDue(long nowNanos, long leastNanos) {
    boolean due = leastNanos == 0 || nowNanos + leastNanos - spokeNanos > staleNanos / 3;
    if (due) {
      spokeNanos = nowNanos;
    }
    return due;
  }

  /** The next message; empty while all its sensors are silent. */
  Optional<SiteRig.Message> next(Instant wall) {
    JsonAt message = new JsonAt();
    boolean spoke = false;
    long number = sequence + 1;
    for (Source source : sources) {
      OptionalDouble report = source.sensor().report(source.truth().getAsDouble());
      if (report.isPresent()) {
        spoke = true;
        put(message, source.spec(), report.getAsDouble());
        stamp(message, source.spec(), number, wall);
      }
    }
    if (!spoke) {
      return Optional.empty();
    }
    sequence = number;
    return Optional.of(new SiteRig.Message(topic, message.payload()));
  }

  private static void put(JsonAt message, SensorSpec spec, double value) {
    if (spec.measure().contact()) {
      message.scalar(spec.pointer(), contactText(spec.states(), value >= 0.5));
      return;
    }
    BigDecimal number = BigDecimal.valueOf(value / spec.scale()).round(DIGITS).stripTrailingZeros();
    message.number(spec.pointer(), number);
  }

  private static void stamp(JsonAt message, SensorSpec spec, long number, Instant wall) {
    if (!spec.sequencePointer().isEmpty()) {
      message.number(spec.sequencePointer(), BigDecimal.valueOf(number));
    }
    if (!spec.timePointer().isEmpty()) {
      message.text(spec.timePointer(), wall.truncatedTo(ChronoUnit.MILLIS).toString());
    }
  }

  /** The first text in the order of the alphabet that means the state. */
  private static String contactText(Map<String, Boolean> states, boolean state) {
    return states.entrySet().stream()
        .filter(entry -> entry.getValue() == state)
        .map(Map.Entry::getKey)
        .sorted()
        .findFirst()
        .orElse("");
  }
}
