package io.github.tidewarden.interlock;

import java.util.List;
import java.util.Set;
import java.util.TreeSet;

/**
 * A typed cause. At or over is over; at or under is under. A condition on a signal that is not good
 * is neither true nor false: see {@link Verdict}.
 */
public sealed interface Condition {

  /** True at or over the limit, in the signal's core unit. */
  record Above(String signal, double limit) implements Condition {}

  /** True at or under the limit, in the signal's core unit. */
  record Below(String signal, double limit) implements Condition {}

  /** True at or under {@code low}, and at or over {@code high}. */
  record Outside(String signal, double low, double high) implements Condition {}

  /** True while a contact is in the given state. */
  record Is(String signal, boolean state) implements Condition {}

  /** True when the largest and the smallest of the signals differ by the limit or more. */
  record Apart(List<String> signals, double limit) implements Condition {
    /** Copies the list. */
    public Apart {
      signals = List.copyOf(signals);
    }
  }

  /** True when at least one part is true. */
  record AnyOf(List<Condition> parts) implements Condition {
    /** Copies the list. */
    public AnyOf {
      parts = List.copyOf(parts);
    }
  }

  /** The names of all signals that the condition looks at, sorted. */
  default Set<String> watched() {
    Set<String> names = new TreeSet<>();
    if (this instanceof Above above) {
      names.add(above.signal());
    } else if (this instanceof Below below) {
      names.add(below.signal());
    } else if (this instanceof Outside outside) {
      names.add(outside.signal());
    } else if (this instanceof Is is) {
      names.add(is.signal());
    } else if (this instanceof Apart apart) {
      names.addAll(apart.signals());
    } else if (this instanceof AnyOf any) {
      any.parts().forEach(part -> names.addAll(part.watched()));
    }
    return names;
  }
}
