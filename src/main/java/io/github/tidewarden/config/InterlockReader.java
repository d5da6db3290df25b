package io.github.tidewarden.config;

import io.github.tidewarden.interlock.PickUp;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Figures;
import java.util.List;
import java.util.Optional;
import java.util.function.Consumer;
import java.util.regex.Pattern;
import java.util.stream.Collectors;

/**
 * Reads {@code interlocks} of a tank: changes to standard ones, and ones that are added. A standard
 * one can only be made tighter; one that stops nothing can be set freely.
 */
final class InterlockReader {
  /** What {@code interlock} and {@code control} call latches that are not of an interlock. */
  private static final Pattern LATCHES_OF_OURS =
      Pattern.compile(
          "internal-fault|audit-unreadable|" + PickUp.NAME + "|.*-(silent|unconfirmed|on-unasked)");

  private final List<Sensor> sensors;
  private final List<InterlockDraft> drafts;
  private final Consumer<String> notices;

  /**
   * Prepares.
   *
   * @param sensors the tank's own and its room's
   * @param drafts the standard ones; changed and added to here
   * @param notices hears of what is allowed and yet looser than the standard
   */
  InterlockReader(List<Sensor> sensors, List<InterlockDraft> drafts, Consumer<String> notices) {
    this.sensors = sensors;
    this.drafts = drafts;
    this.notices = notices;
  }

  void read(Section interlocks) {
    for (Value entry : interlocks.entries()) {
      Section section = entry.section();
      if (section == null) {
        continue;
      }
      Optional<InterlockDraft> standard =
          drafts.stream().filter(draft -> draft.name.equals(entry.name())).findFirst();
      if (standard.isPresent()) {
        change(standard.get(), section);
      } else if (StandardInterlocks.NAMES.contains(entry.name())) {
        section.abandon();
        section.complain(
            entry.namePlace(),
            "the tank has no sensor for the standard interlock `" + entry.name() + "`",
            "declare the sensor, or give an interlock of your own another name");
      } else {
        checkName(section, entry);
        InterlockDraft added = AddedInterlock.read(entry.name(), section, sensors);
        if (added != null) {
          drafts.add(added);
        }
      }
    }
  }

  private static void checkName(Section section, Value entry) {
    Names.check(section, entry.name(), entry.namePlace());
    if (LATCHES_OF_OURS.matcher(entry.name()).matches()) {
      section.complain(
          entry.namePlace(),
          "`" + entry.name() + "` is how the daemon names a latch of its own",
          "another name");
    }
  }

  private void change(InterlockDraft draft, Section section) {
    boolean free = draft.stops.isEmpty();
    InterlockDraft.Limit limit = draft.limit;
    if (limit != null) {
      double value = section.number(limit.key(), Limits.positive(limit.unit()), limit.value());
      if (free && limit.loosenedBy(value)) {
        Loosened.limit(draft, limit, value, notices);
      } else if (limit.loosenedBy(value)) {
        loosened(
            section,
            limit.key(),
            (limit.lowerIsTighter() ? "at most " : "at least ")
                + Figures.brief(limit.value(), limit.unit()));
      }
      draft.cause = limit.cause().apply(value);
    }
    long delay = shorter(section, "for", draft.forNanos, free);
    if (free && delay > draft.forNanos) {
      Loosened.delay(draft, delay, notices);
    }
    draft.forNanos = delay;
    long rest = section.nanos("rest", AddedInterlock.REST, draft.restNanos);
    if (rest < draft.restNanos) {
      loosened(section, "rest", "at least " + Figures.span(draft.restNanos));
    }
    draft.restNanos = rest;
    changeLatch(draft, section);
    section
        .optional("stops")
        .map(AddedInterlock::stops)
        .ifPresent(stops -> changeStops(draft, section, stops));
  }

  private static void changeLatch(InterlockDraft draft, Section section) {
    if (!draft.latches) {
      AddedInterlock.latch(draft, section);
      return;
    }
    draft.latchForNanos = shorter(section, "latch-after", draft.latchForNanos, false);
    if (!section.optional("latch").map(Value::flag).orElse(true)) {
      loosened(section, "latch", "true, for this one latches");
    }
  }

  private static void changeStops(InterlockDraft draft, Section section, List<TankFunction> stops) {
    if (!stops.containsAll(draft.stops)) {
      loosened(
          section,
          "stops",
          "at least "
              + draft.stops.stream().map(TankFunction::word).collect(Collectors.joining(", ")));
    }
    if (draft.stops.isEmpty() && !stops.isEmpty()) {
      draft.notice = false;
    }
    draft.stops.addAll(stops);
  }

  private static long shorter(Section section, String key, long usual, boolean free) {
    long nanos = section.nanos(key, AddedInterlock.DELAY, usual);
    if (!free && nanos > usual) {
      loosened(section, key, "at most " + Figures.span(usual));
    }
    return nanos;
  }

  private static void loosened(Section section, String key, String right) {
    section.complain(section.place(key), "`" + key + "` would loosen a standard interlock", right);
  }
}
