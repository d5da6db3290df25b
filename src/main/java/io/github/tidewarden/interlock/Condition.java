package io.github.tidewarden.interlock;

import io.github.tidewarden.sensing.Signal;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;
import java.util.function.DoublePredicate;

/**
 * A typed cause. At or over is over; at or under is under. Where a signal that it needs is not
 * good, a condition is neither true nor false but {@link Verdict#UNKNOWN}.
 */
public sealed interface Condition {

  /** What the condition says of these signals, by name; a name that is missing is unknown. */
  Verdict verdict(Map<String, Signal> signals);

  /** The names of all signals that the condition looks at, sorted. */
  Set<String> watched();

  /** True at or over the limit, in the signal's core unit. */
  record Above(String signal, double limit) implements Condition {
    @Override
    public Verdict verdict(Map<String, Signal> signals) {
      return test(signals, signal, value -> value >= limit);
    }

    @Override
    public Set<String> watched() {
      return Set.of(signal);
    }
  }

  /** True at or under the limit, in the signal's core unit. */
  record Below(String signal, double limit) implements Condition {
    @Override
    public Verdict verdict(Map<String, Signal> signals) {
      return test(signals, signal, value -> value <= limit);
    }

    @Override
    public Set<String> watched() {
      return Set.of(signal);
    }
  }

  /** True at or under {@code low}, and at or over {@code high}. */
  record Outside(String signal, double low, double high) implements Condition {
    @Override
    public Verdict verdict(Map<String, Signal> signals) {
      return test(signals, signal, value -> value <= low || value >= high);
    }

    @Override
    public Set<String> watched() {
      return Set.of(signal);
    }
  }

  /** True while a contact is in the given state. */
  record Is(String signal, boolean state) implements Condition {
    @Override
    public Verdict verdict(Map<String, Signal> signals) {
      return test(signals, signal, value -> (value != 0) == state);
    }

    @Override
    public Set<String> watched() {
      return Set.of(signal);
    }
  }

  /** True when the largest and the smallest of the signals differ by the limit or more. */
  record Apart(List<String> names, double limit) implements Condition {
    /** Copies the list. */
    public Apart {
      names = List.copyOf(names);
    }

    @Override
    public Verdict verdict(Map<String, Signal> signals) {
      double smallest = Double.POSITIVE_INFINITY;
      double largest = Double.NEGATIVE_INFINITY;
      for (String name : names) {
        Signal signal = signals.get(name);
        if (signal == null || !signal.good()) {
          return Verdict.UNKNOWN;
        }
        smallest = Math.min(smallest, signal.value());
        largest = Math.max(largest, signal.value());
      }
      return Verdict.of(largest - smallest >= limit);
    }

    @Override
    public Set<String> watched() {
      return new TreeSet<>(names);
    }
  }

  /** True when at least one part is true; false only when every part is false. */
  record AnyOf(List<Condition> parts) implements Condition {
    /** Copies the list. */
    public AnyOf {
      parts = List.copyOf(parts);
    }

    @Override
    public Verdict verdict(Map<String, Signal> signals) {
      Verdict all = Verdict.FALSE;
      for (Condition part : parts) {
        Verdict one = part.verdict(signals);
        if (one == Verdict.TRUE) {
          return Verdict.TRUE;
        }
        if (one == Verdict.UNKNOWN) {
          all = Verdict.UNKNOWN;
        }
      }
      return all;
    }

    @Override
    public Set<String> watched() {
      Set<String> names = new TreeSet<>();
      parts.forEach(part -> names.addAll(part.watched()));
      return names;
    }
  }

  /** True only when every part is true; false when at least one is false. */
  record AllOf(List<Condition> parts) implements Condition {
    /** Copies the list. */
    public AllOf {
      parts = List.copyOf(parts);
    }

    @Override
    public Verdict verdict(Map<String, Signal> signals) {
      Verdict all = Verdict.TRUE;
      for (Condition part : parts) {
        Verdict one = part.verdict(signals);
        if (one == Verdict.FALSE) {
          return Verdict.FALSE;
        }
        if (one == Verdict.UNKNOWN) {
          all = Verdict.UNKNOWN;
        }
      }
      return all;
    }

    @Override
    public Set<String> watched() {
      return new AnyOf(parts).watched();
    }
  }

  /** True when the part is false: {@code Not(Above(x, 340))} is "x under 340". */
  record Not(Condition part) implements Condition {
    @Override
    public Verdict verdict(Map<String, Signal> signals) {
      return switch (part.verdict(signals)) {
        case TRUE -> Verdict.FALSE;
        case FALSE -> Verdict.TRUE;
        case UNKNOWN -> Verdict.UNKNOWN;
      };
    }

    @Override
    public Set<String> watched() {
      return part.watched();
    }
  }

  private static Verdict test(Map<String, Signal> signals, String name, DoublePredicate holds) {
    Signal signal = signals.get(name);
    if (signal == null || !signal.good()) {
      return Verdict.UNKNOWN;
    }
    return Verdict.of(holds.test(signal.value()));
  }
}
