package io.github.tidewarden.config;

import java.util.ArrayList;
import java.util.Collection;
import java.util.List;
import java.util.Optional;
import org.jspecify.annotations.Nullable;

/** Reads what a drill expects. */
final class DrillExpect {

  /** A word of an expectation, and what it claims. */
  enum Key {
    ON("on", Drill.Fact.ON, true),
    REST("rest", Drill.Fact.ON, false),
    TOLD_TO_RUN("told-to-run", Drill.Fact.TOLD_TO_RUN, true),
    TOLD_TO_REST("told-to-rest", Drill.Fact.TOLD_TO_RUN, false),
    TRIPPED("tripped", Drill.Fact.TRIPPED, true),
    NOT_TRIPPED("not-tripped", Drill.Fact.TRIPPED, false),
    LATCHED("latched", Drill.Fact.LATCHED, true),
    NOT_LATCHED("not-latched", Drill.Fact.LATCHED, false),
    FIRST_OUT("first-out", Drill.Fact.FIRST_OUT, true),
    HELD("held", Drill.Fact.HELD, true),
    NOT_HELD("not-held", Drill.Fact.HELD, false),
    NOTICE("notice", Drill.Fact.NOTICE, true),
    NO_NOTICE("no-notice", Drill.Fact.NOTICE, false),
    PORTION("portion", Drill.Fact.PORTION, true);

    private final String word;
    private final Drill.Fact fact;
    private final boolean holds;

    Key(String word, Drill.Fact fact, boolean holds) {
      this.word = word;
      this.fact = fact;
      this.holds = holds;
    }

    /** The word used in drills. */
    String word() {
      return word;
    }
  }

  private final DrillNames names;
  private final DrillTimes times;

  DrillExpect(DrillNames names, DrillTimes times) {
    this.names = names;
    this.times = times;
  }

  /** One expectation; null after a complaint. */
  Drill.@Nullable Expectation read(Value item) {
    Section section = item.section();
    if (section == null) {
      return null;
    }
    Drill.Span span = span(section);
    List<Drill.Claim> claims = new ArrayList<>();
    boolean claimed = false;
    for (Key key : Key.values()) {
      Optional<Value> value = section.optional(key.word);
      claimed |= value.isPresent();
      value.ifPresent(present -> claim(key, present, span, claims));
    }
    if (!claimed) {
      section.complain(
          section.place(), "this expects nothing", "such as `rest: generator`, `tripped: leak`");
    }
    if (span == null) {
      return null;
    }
    return switch (span) {
      case AT -> at(section, claims);
      case THROUGHOUT -> throughout(section, claims);
      case WITHIN -> within(section, claims);
    };
  }

  private static Drill.@Nullable Span span(Section section) {
    boolean at = section.has("at");
    boolean to = section.has("to");
    boolean from = section.has("from") || to;
    boolean of = section.has("of");
    boolean within = section.has("within") || of;
    if (at && !from && !within) {
      return Drill.Span.AT;
    }
    if (from && !at && !within) {
      return Drill.Span.THROUGHOUT;
    }
    if (within && !at && !from) {
      return Drill.Span.WITHIN;
    }
    section.complain(
        section.place(),
        at || from || within
            ? "this expectation has more than one time"
            : "this expectation has no time",
        "one of `at: 10 min`, `from: 10 min` with `to: 20 min`, `within: 30 s` with `of: 10 min`");
    return null;
  }

  private Drill.@Nullable Expectation at(Section section, List<Drill.Claim> claims) {
    Long at = moment(section, "at");
    return at == null ? null : new Drill.Expectation(Drill.Span.AT, at, at, claims);
  }

  private @Nullable Long moment(Section section, String key) {
    return section.required(key, "10 min").map(times::at).orElse(null);
  }

  private Drill.@Nullable Expectation throughout(Section section, List<Drill.Claim> claims) {
    Long from = moment(section, "from");
    Long to = moment(section, "to");
    if (from == null || to == null) {
      return null;
    }
    if (from >= to) {
      section.complain(
          section.place("to"),
          "`to` at " + times.told(to) + " is not after `from` at " + times.told(from),
          "the earlier time first");
      return null;
    }
    return new Drill.Expectation(Drill.Span.THROUGHOUT, from, to, claims);
  }

  private Drill.@Nullable Expectation within(Section section, List<Drill.Claim> claims) {
    Long length = section.required("within", "30 s").map(times::length).orElse(null);
    Long of = moment(section, "of");
    return length == null || of == null
        ? null
        : new Drill.Expectation(Drill.Span.WITHIN, of, of + length, claims);
  }

  // What is claimed.

  private void claim(Key key, Value value, Drill.@Nullable Span span, List<Drill.Claim> claims) {
    complainAboutSpan(key, value, span);
    List<Value> items = value.isList() ? value.list() : List.of(value);
    if (items == null || items.isEmpty()) {
      value.complain("`" + key.word + "` names nothing", "at least one name");
      return;
    }
    boolean one = key == Key.PORTION || key == Key.FIRST_OUT;
    if (one && items.size() > 1) {
      value.complain("`" + key.word + "` can be one only", "write one name");
    }
    for (Value item : items) {
      String name = name(key, item);
      if (name != null) {
        Drill.Spot spot = new Drill.Spot(item.place().line(), item.place().column());
        claims.add(new Drill.Claim(key.word, key.fact, name, key.holds, spot));
      }
    }
  }

  private static void complainAboutSpan(Key key, Value value, Drill.@Nullable Span span) {
    boolean throughout = span == Drill.Span.THROUGHOUT;
    if (throughout && (key == Key.NOTICE || key == Key.FIRST_OUT)) {
      value.complain(
          "`" + key.word + "` does not last from one time to another",
          "write it with `at` or `within`");
    }
    if (span == Drill.Span.WITHIN && key == Key.NO_NOTICE) {
      value.complain(
          "`" + key.word + "` does not come about within a time", "write it with `from` and `to`");
    }
  }

  private @Nullable String name(Key key, Value value) {
    Collection<String> known =
        switch (key.fact) {
          case ON, TOLD_TO_RUN -> names.devices();
          case TRIPPED, FIRST_OUT -> names.trips();
          case LATCHED -> names.latches();
          case HELD -> DrillNames.holdable();
          case NOTICE -> names.notices();
          case PORTION -> names.tank().exchange() == null ? List.<String>of() : DrillNames.phases();
        };
    String named = value.raw();
    if (!known.contains(named)) {
      String instead = instead(key.fact, named);
      if (instead != null) {
        value.complain("`" + key.word + "` is \"" + named + "\"", instead);
        return null;
      }
    }
    return value.oneOf(known);
  }

  /** What a name of another kind, or of another tank, calls for; null for nothing known. */
  private @Nullable String instead(Drill.Fact fact, String named) {
    if (fact == Drill.Fact.PORTION && names.tank().exchange() == null) {
      return names.tank().name() + " has no exchange of water; take it out";
    }
    boolean isTrip = fact == Drill.Fact.TRIPPED || fact == Drill.Fact.FIRST_OUT;
    if (isTrip && names.notices().contains(named)) {
      return "it trips nothing and is told: write `notice: " + named + "`";
    }
    if (isTrip && names.latches().contains(named)) {
      return "it trips nothing and latches: write `latched: " + named + "`";
    }
    if (fact == Drill.Fact.LATCHED && names.trips().contains(named)) {
      return "in this configuration it trips and never latches: write `tripped: " + named + "`";
    }
    if (fact == Drill.Fact.NOTICE && names.trips().contains(named)) {
      return "it is a trip: write `tripped: " + named + "`";
    }
    if (StandardInterlocks.NAMES.contains(named)) {
      return names.tank().name()
          + " has no sensor for this standard interlock; `check` says what guards it";
    }
    return null;
  }
}
