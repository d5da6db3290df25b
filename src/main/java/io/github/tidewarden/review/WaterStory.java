package io.github.tidewarden.review;

import java.time.LocalDate;
import java.util.Map;
import java.util.TreeMap;
import java.util.function.UnaryOperator;
import org.jspecify.annotations.Nullable;

/** Everything that the records say of one tank's exchange of water, in their order. */
final class WaterStory {

  /**
   * The account of a night, once its windows were over.
   *
   * @param at when it was closed
   * @param owed the night's share, mL
   * @param out what went out, mL
   * @param in what came in, mL
   * @param missed what lapsed, mL
   * @param why what held up the last portion where something is missed
   * @param saltDrift what the salinity is off what explains it, millionths of a PSU
   */
  record Account(
      Mark at,
      @Nullable Long owed,
      @Nullable Long out,
      @Nullable Long in,
      @Nullable Long missed,
      String why,
      @Nullable Long saltDrift,
      @Nullable Long dayOut) {}

  final Map<Long, PortionStory> portions = new TreeMap<>();
  final Map<LocalDate, Account> accounts = new TreeMap<>();

  void hears(Entry entry) {
    switch (entry.kind()) {
      case PORTION -> ofPortion(entry, portion -> portion.begins(entry));
      case DRAINED -> ofPortion(entry, portion -> portion.wentOut(entry));
      case FILLED -> ofPortion(entry, portion -> portion.done(entry));
      case EXCHANGED ->
          accounts.put(
              Windows.night(entry.text("night"), entry.mark()),
              new Account(
                  entry.mark(),
                  entry.count("owed-ml"),
                  entry.count("out-ml"),
                  entry.count("in-ml"),
                  entry.count("missed-ml"),
                  entry.why(),
                  entry.count("salt-drift-upsu"),
                  entry.count("day-out-ml")));
      case RECOVERED -> {
        if (entry.flag("latched")) {
          givenUp(entry.mark());
        }
      }
      case ACT -> {
        // A reset that ended a portion says how much it was.
        if (entry.text("act").equals("reset") && entry.count("portion-ml") != null) {
          givenUp(entry.mark());
        }
      }
      default -> {
        // Nothing of the water.
      }
    }
  }

  private void ofPortion(Entry entry, UnaryOperator<PortionStory> told) {
    Long number = entry.count("portion");
    if (number != null) {
      PortionStory known = portions.get(number);
      portions.put(number, told.apply(known == null ? PortionStory.of(number, entry) : known));
    }
  }

  private void givenUp(Mark at) {
    portions.replaceAll((number, portion) -> portion.givenUp(at));
  }
}
