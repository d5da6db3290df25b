package io.github.tidewarden.config;

import io.github.tidewarden.interlock.Condition;
import io.github.tidewarden.interlock.Condition.Above;
import io.github.tidewarden.interlock.Condition.AllOf;
import io.github.tidewarden.interlock.Condition.AnyOf;
import io.github.tidewarden.interlock.Condition.Apart;
import io.github.tidewarden.interlock.Condition.Below;
import io.github.tidewarden.interlock.Condition.Is;
import io.github.tidewarden.interlock.Condition.Not;
import io.github.tidewarden.interlock.Condition.Outside;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.SensorSpec;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.stream.Collectors;

/** A condition in plain words, before anything has been measured. */
final class ConditionText {

  /** "redox-a" and "at or over 400 mV". */
  private record Phrase(String subject, String predicate) {}

  private final Map<String, Measure> measures;

  /** For conditions on these sensors. */
  ConditionText(List<SensorSpec> sensors) {
    measures = sensors.stream().collect(Collectors.toMap(SensorSpec::name, SensorSpec::measure));
  }

  /** "redox-a or redox-b at or over 400 mV". */
  String of(Condition condition) {
    if (condition instanceof Not not) {
      return join(not.part(), true, " and ");
    }
    if (condition instanceof AllOf all) {
      return all.parts().stream().map(this::of).collect(Collectors.joining(" and "));
    }
    return join(condition, false, " or ");
  }

  /** Says once what several signals have in common. */
  private String join(Condition condition, boolean opposite, String word) {
    List<Condition> parts = condition instanceof AnyOf any ? any.parts() : List.of(condition);
    Map<String, String> subjects = new LinkedHashMap<>();
    for (Condition part : parts) {
      Phrase phrase = phrase(part, opposite);
      subjects.merge(phrase.predicate(), phrase.subject(), (one, other) -> one + word + other);
    }
    return subjects.entrySet().stream()
        .map(entry -> entry.getValue() + " " + entry.getKey())
        .collect(Collectors.joining(word));
  }

  private Phrase phrase(Condition part, boolean opposite) {
    if (part instanceof Above above) {
      return new Phrase(
          above.signal(),
          (opposite ? "under " : "at or over ") + value(above.signal(), above.limit()));
    }
    if (part instanceof Below below) {
      return new Phrase(
          below.signal(),
          (opposite ? "over " : "at or under ") + value(below.signal(), below.limit()));
    }
    if (part instanceof Outside outside) {
      return new Phrase(
          outside.signal(),
          (opposite ? "between " : "not between ")
              + value(outside.signal(), outside.low())
              + " and "
              + value(outside.signal(), outside.high()));
    }
    if (part instanceof Is is) {
      String[] words = StateWords.of(measure(is.signal()));
      return new Phrase(is.signal(), is.state() == opposite ? words[1] : words[0]);
    }
    if (part instanceof Apart apart) {
      String by = value(apart.names().get(0), apart.limit());
      return new Phrase(
          String.join(" and ", apart.names()),
          opposite ? "less than " + by + " apart" : by + " or more apart");
    }
    return new Phrase(of(part), opposite ? "not so" : "so");
  }

  private String value(String signal, double limit) {
    return Figures.brief(limit, Sensor.unit(measure(signal)));
  }

  private Measure measure(String signal) {
    Measure measure = measures.get(signal);
    if (measure == null) {
      throw new IllegalArgumentException("no sensor " + signal);
    }
    return measure;
  }
}
