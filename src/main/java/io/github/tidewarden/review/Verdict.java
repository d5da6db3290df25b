package io.github.tidewarden.review;

import io.github.tidewarden.review.Happening.Sort;
import io.github.tidewarden.review.PortionStory.Stage;
import io.github.tidewarden.review.RunStory.Account;
import io.github.tidewarden.review.WaterNight.Bin;
import io.github.tidewarden.review.Windows.Outcome;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/**
 * Whether a tank's night went well.
 *
 * @param outcome in one word
 * @param sentence in one sentence
 * @param reasons what did not go as planned
 */
record Verdict(Outlook outcome, String sentence, List<String> reasons) {

  /** In one word. */
  enum Outlook {
    /** It went well. */
    GOOD,
    /** Something did not go as planned; nothing waits for the keeper. */
    LOOK,
    /** Something stands latched, residual oxidant harms, or new water waits to be confirmed. */
    HAND,
    /** It is not over in the records. */
    OPEN,
    /** The records do not tell. */
    UNKNOWN;

    String word() {
      return name().toLowerCase(Locale.ROOT);
    }
  }

  static Verdict of(TankNight tank, Night night) {
    List<String> reasons = reasons(tank, night);
    List<Latch> standing =
        tank.latches() == null
            ? List.of()
            : tank.latches().stream().filter(latch -> latch.reset() == null).toList();
    List<String> hands = new ArrayList<>();
    if (!standing.isEmpty()) {
      hands.add(latched(standing));
    }
    if (tank.care().harms()) {
      hands.add(
          "the residual oxidant that was measured last is over what is safe, and until a later one"
              + " is not there is no ozone");
    }
    newWater(tank, hands);
    if (!hands.isEmpty()) {
      return new Verdict(
          Outlook.HAND,
          "It needs a hand: " + String.join("; and ", hands) + "." + halfDone(tank),
          reasons);
    }
    String unknown = unknown(tank, night);
    if (!unknown.isEmpty()) {
      return new Verdict(Outlook.UNKNOWN, unknown, reasons);
    }
    if (isOpen(tank)) {
      return new Verdict(
          Outlook.OPEN,
          reasons.isEmpty()
              ? "It is not over in the records; so far it went well, and nothing needs a hand."
              : "It is not over in the records, and so far not as planned: "
                  + Words.list(reasons)
                  + "; nothing needs a hand.",
          reasons);
    }
    return reasons.isEmpty()
        ? new Verdict(Outlook.GOOD, good(tank), reasons)
        : new Verdict(
            Outlook.LOOK,
            "It did not go as planned: " + Words.list(reasons) + "; nothing needs a hand now.",
            reasons);
  }

  /** Why it cannot be said how the night went; empty when it can. */
  private static String unknown(TankNight tank, Night night) {
    boolean hasNoOzone = tank.reference() == null && night.records() > 0;
    if (!tank.recorded() && tank.windows().isEmpty() && !hasNoOzone) {
      return "Nothing is recorded of this tank, so how it went is not known.";
    }
    if (tank.latches() == null) {
      return "What stands latched cannot be told from the records read.";
    }
    return night.of(Sort.AUDIT_GAP).isEmpty()
        ? ""
        : "How it went cannot be said for certain, because the audit has a gap.";
  }

  private static String latched(List<Latch> standing) {
    List<String> names = standing.stream().map(Latch::name).toList();
    List<String> stops = standing.stream().flatMap(l -> l.stops().stream()).distinct().toList();
    boolean one = names.size() == 1;
    return Words.list(names)
        + (one ? " is" : " are")
        + " latched"
        + (stops.isEmpty() ? "" : (one ? " and stops " : " and stop ") + Words.list(stops))
        + " until "
        + (one ? "it is" : "they are")
        + " reset";
  }

  /** New water that nobody has confirmed holds the exchange up, but for one that is held anyway. */
  private static void newWater(TankNight tank, List<String> hands) {
    WaterNight water = tank.water();
    Bin bin = water == null ? null : water.bin();
    boolean held =
        tank.held().stream()
            .anyMatch(
                one -> one.over() == null && List.of("tank", "exchange").contains(one.name()));
    if (bin != null && bin.waits() && bin.later().isEmpty() && !held) {
      hands.add(
          "the new water of "
              + bin.name()
              + " is not confirmed, and until it is none is exchanged");
    }
  }

  /** A portion that is half done where a latch keeps it so. */
  private static String halfDone(TankNight tank) {
    return underWay(tank).stream()
        .map(portion -> " Portion " + portion.number() + " is half done.")
        .reduce("", String::concat);
  }

  private static List<PortionStory> underWay(TankNight tank) {
    WaterNight water = tank.water();
    return water == null ? List.of() : water.in(Stage.UNDER_WAY);
  }

  private static String good(TankNight tank) {
    WaterNight water = tank.water();
    boolean exchanged = water != null && !water.isUnknown() && water.litres().closed() != null;
    if (exchanged && tank.windows().isEmpty()) {
      return "It went well, and nothing needs a hand.";
    }
    if (tank.windows().isEmpty()) {
      return "No window is recorded, and nothing needs a hand.";
    }
    return tank.totals().countedMillis() > 0
        ? "It went well, and nothing needs a hand."
        : "It went well; no ozone was given, none was refused, and nothing needs a hand.";
  }

  private static boolean isOpen(TankNight tank) {
    return tank.windows().stream().anyMatch(window -> window.outcome() == Outcome.OPEN)
        || tank.runs().stream().anyMatch(run -> run.account() == Account.RESERVED)
        || isOpen(tank.water());
  }

  private static boolean isOpen(@Nullable WaterNight water) {
    return water != null && water.isOpen();
  }

  private static List<String> reasons(TankNight tank, Night night) {
    List<String> reasons = new ArrayList<>();
    if (tank.runs().stream().anyMatch(run -> run.account() == Account.CUT_OFF)) {
      reasons.add("the daemon died in the middle of a run");
    } else {
      during(night.of(Sort.CRASH), tank, "the daemon died", reasons);
    }
    during(night.of(Sort.STOP), tank, "the daemon was stopped", reasons);
    missed(tank, reasons);
    water(tank, reasons);
    Map<String, Integer> trips = new LinkedHashMap<>();
    tank.trips().forEach(group -> trips.merge(group.first().name(), 1, Integer::sum));
    trips.forEach((name, count) -> reasons.add(name + " tripped" + Words.times(count)));
    lost(tank, reasons);
    if (!during(night.of(Sort.BROKER), tank, "the broker was lost", reasons)
        && tank.of(Sort.SILENT).isEmpty()) {
      during(tank.of(Sort.GAP), tank, "there are gaps in the data", reasons);
    }
    if (when(night.of(Sort.CRASH), tank).isEmpty() && when(night.of(Sort.STOP), tank).isEmpty()) {
      during(night.of(Sort.CLOCK), tank, "trust in the clock changed", reasons);
    }
    if (!tank.of(Sort.FAULT).isEmpty()) {
      reasons.add("a step of the program failed");
    }
    tank.of(Sort.NOTICE).stream()
        .map(n -> n.name().isEmpty() ? n.what() : n.name() + " gave notice")
        .distinct()
        .forEach(reasons::add);
    if (reasons.isEmpty() && !tank.of(Sort.REFUSED).isEmpty()) {
      reasons.add("a start was held back");
    }
    return List.copyOf(reasons);
  }

  private static void missed(TankNight tank, List<String> reasons) {
    long missed =
        tank.windows().stream()
            .filter(window -> window.outcome() == Outcome.MISSED && tank.begun(window) == 0)
            .count();
    Map<String, Integer> alone = new LinkedHashMap<>();
    tank.windows().stream()
        .filter(window -> window.outcome() == Outcome.NOT_ATTENDED)
        .forEach(window -> alone.merge(window.nobody(), 1, Integer::sum));
    if (missed > 0) {
      reasons.add(missed == 1 ? "a window was missed" : missed + " windows were missed");
    }
    alone.forEach(
        (why, count) -> reasons.add(why + " in " + (count == 1 ? "a window" : count + " windows")));
  }

  private static void water(TankNight tank, List<String> reasons) {
    WaterNight water = tank.water();
    if (water == null) {
      return;
    }
    if (water.isMissed()) {
      reasons.add(TextWater.told(water.litres().missed()) + " of the exchange were missed");
    }
    int given = water.in(Stage.GIVEN_UP).size();
    if (given > 0) {
      reasons.add(given == 1 ? "a portion was given up" : given + " portions were given up");
    }
    if (!water.isOpen()) {
      underWay(tank).forEach(p -> reasons.add("portion " + p.number() + " is half done"));
    }
  }

  private static void lost(TankNight tank, List<String> reasons) {
    List<String> silent = names(tank, "-silent");
    if (!silent.isEmpty()) {
      reasons.add(
          Words.list(silent) + (silent.size() == 1 ? " was" : " were") + " lost while in use");
    }
    names(tank, "-unconfirmed").forEach(name -> reasons.add(name + " did not confirm that it ran"));
    tank.of(Sort.DEVICE).stream().map(Happening::what).distinct().forEach(reasons::add);
  }

  private static List<String> names(TankNight tank, String ending) {
    return tank.of(Sort.SILENT).stream()
        .map(Happening::name)
        .filter(name -> name.endsWith(ending))
        .map(name -> name.substring(0, name.length() - ending.length()))
        .distinct()
        .toList();
  }

  private static boolean during(
      List<Happening> happenings, TankNight tank, String what, List<String> reasons) {
    String when = when(happenings, tank);
    if (!when.isEmpty()) {
      reasons.add(what + " while " + when);
    }
    return !when.isEmpty();
  }

  /** What one of them met; empty for nothing. */
  private static String when(List<Happening> happenings, TankNight tank) {
    WaterNight water = tank.water();
    List<PortionStory> portions = water == null ? List.of() : water.portions();
    boolean met = false;
    for (Happening happening : happenings) {
      @Nullable Mark end = happening.lasts() ? happening.until() : happening.at();
      if (tank.windows().stream().anyMatch(window -> window.meets(happening.at(), end))) {
        return "a window was open";
      }
      met |= portions.stream().anyMatch(portion -> portion.meets(happening.at(), end));
    }
    return met ? "a portion was under way" : "";
  }
}
