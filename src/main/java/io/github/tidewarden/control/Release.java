package io.github.tidewarden.control;

import java.time.Instant;
import java.util.Comparator;
import java.util.List;

/**
 * Ends a hold early: of those for a time the one that would end first, and one until a date only by
 * that date, so that nobody who has fed ends a treatment.
 */
record Release(String function, String until, String text) implements Deed {
  @Override
  public Deed.Recorded judge(Deed.Place place) throws Deed.RefusedException {
    List<Hold> held = place.holds().stream().filter(hold -> hold.name().equals(function)).toList();
    if (held.isEmpty()) {
      throw new Deed.RefusedException(
          function
              + " is not held; held: "
              + (place.holds().isEmpty() ? "nothing" : place.told("", place.holds().stream(), "")));
    }
    Instant end = until.isEmpty() ? null : Holding.noonOf(until, place.tank().zone);
    Hold over =
        held.stream()
            .filter(hold -> end == null ? hold.timed() : hold.end().equals(end))
            .min(Comparator.comparing(Hold::end))
            .orElseThrow(
                () ->
                    new Deed.RefusedException(
                        place.told("held is ", held.stream(), "")
                            + "; a hold until a date is released by that date (until)"));
    return new Deed.Recorded(
        function,
        text,
        "released "
            + function
            + Deed.because(text)
            + " (held "
            + over.told(place.tank().zone)
            + place.told(
                "; still held: ", place.holds().stream().filter(hold -> !hold.equals(over)), "")
            + ")",
        over.named());
  }
}
