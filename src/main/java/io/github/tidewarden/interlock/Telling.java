package io.github.tidewarden.interlock;

import io.github.tidewarden.interlock.Condition.Above;
import io.github.tidewarden.interlock.Condition.AllOf;
import io.github.tidewarden.interlock.Condition.AnyOf;
import io.github.tidewarden.interlock.Condition.Apart;
import io.github.tidewarden.interlock.Condition.Below;
import io.github.tidewarden.interlock.Condition.Is;
import io.github.tidewarden.interlock.Condition.Not;
import io.github.tidewarden.interlock.Condition.Outside;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Signal;
import java.util.List;
import java.util.Map;
import java.util.stream.Collectors;

/** A condition and the values it looked at, in the keeper's words. */
final class Telling {
  private Telling() {}

  /** For example {@code redox-a 421.0 mV, limit 400.0 mV or over}. */
  static String of(Condition condition, Map<String, Signal> signals) {
    if (condition instanceof AnyOf any) {
      return any.parts().stream()
          .filter(part -> part.verdict(signals) == Verdict.TRUE)
          .map(part -> of(part, signals))
          .findFirst()
          .orElseGet(
              () ->
                  any.parts().stream()
                      .map(part -> of(part, signals))
                      .collect(Collectors.joining(", ")));
    }
    if (condition instanceof AllOf all) {
      return all.parts().stream().map(part -> of(part, signals)).collect(Collectors.joining(", "));
    }
    if (condition instanceof Not not) {
      return "not: " + of(not.part(), signals);
    }
    if (condition instanceof Apart apart) {
      return values(apart.names(), signals) + limit(apart, signals);
    }
    return values(List.copyOf(condition.watched()), signals) + limit(condition, signals);
  }

  private static String values(List<String> names, Map<String, Signal> signals) {
    return names.stream().map(name -> value(name, signals)).collect(Collectors.joining(", "));
  }

  private static String value(String name, Map<String, Signal> signals) {
    Signal signal = signals.get(name);
    return signal == null
        ? name + " unknown"
        : signal.name() + " " + signal.measure().told(signal.value());
  }

  private static String limit(Condition condition, Map<String, Signal> signals) {
    Measure measure =
        condition.watched().stream()
            .map(signals::get)
            .filter(signal -> signal != null)
            .map(Signal::measure)
            .findFirst()
            .orElse(null);
    if (measure == null || condition instanceof Is) {
      return "";
    }
    if (condition instanceof Above above) {
      return ", limit " + measure.told(above.limit()) + " or over";
    }
    if (condition instanceof Below below) {
      return ", limit " + measure.told(below.limit()) + " or under";
    }
    if (condition instanceof Outside outside) {
      return " (outside "
          + measure.told(outside.low())
          + " to "
          + measure.told(outside.high())
          + ")";
    }
    return ", limit " + measure.told(((Apart) condition).limit()) + " apart";
  }
}
