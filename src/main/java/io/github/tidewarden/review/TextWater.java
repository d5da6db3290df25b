package io.github.tidewarden.review;

import io.github.tidewarden.control.BinMemory;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.review.WaterNight.Bin;
import io.github.tidewarden.review.WaterNight.Litres;
import io.github.tidewarden.review.WaterNight.Pump;
import io.github.tidewarden.review.WaterNight.Sums;
import java.util.List;
import java.util.Locale;
import org.jspecify.annotations.Nullable;

/** One tank's exchange of water for reading. */
final class TextWater {
  private final Page page;
  private final LocalTimes times;

  TextWater(Page page, LocalTimes times) {
    this.page = page;
    this.times = times;
  }

  /** What the night came to, in a few lines. */
  void tell(WaterNight water) {
    if (water.isUnknown()) {
      page.line(2, "Water: nothing is recorded of its exchange.");
      return;
    }
    page.line(2, "Water: " + litres(water.litres()) + missed(water));
    Sums sums = water.sums();
    if (sums != null && sums.yearOut() > 0) {
      page.line(2, sums(sums));
    }
    Long drift = water.saltDrift();
    if (drift != null) {
      page.line(2, drift(drift));
    }
    Bin bin = water.bin();
    if (bin != null) {
      bin(bin);
    }
    List<String> pumps = water.pumps().stream().filter(Pump::isMeasured).map(this::pump).toList();
    if (!pumps.isEmpty()) {
      page.line(2, "Pump " + String.join(", ", pumps) + ".");
    }
  }

  private static String litres(Litres litres) {
    Long owed = litres.owed();
    Long out = litres.out();
    boolean closed = litres.closed() != null;
    if (closed && owed != null && owed == 0 && out != null && out == 0) {
      return "nothing was owed.";
    }
    return (closed ? "" : "so far ")
        + told(out)
        + " went out and "
        + told(litres.in())
        + " came in"
        + (owed == null ? "" : ", of " + told(owed) + (closed ? " owed" : " a day"))
        + ".";
  }

  private static String missed(WaterNight water) {
    Litres litres = water.litres();
    if (!water.isMissed()) {
      return "";
    }
    String unwatched = litres.unwatched();
    return " Missed, and lapsed: "
        + told(litres.missed())
        + "; "
        + Words.plainly(litres.why())
        + (unwatched.isEmpty() ? "" : "; in a part of the night " + unwatched)
        + ".";
  }

  private static String sums(Sums sums) {
    Long day = sums.dayOut();
    return (day == null ? "" : "In the 24 h to the end of its windows " + told(day) + " went out. ")
        + "In the seven nights to this one "
        + told(sums.weekOut())
        + " went out, and "
        + String.format(Locale.ROOT, "%.1f", sums.weekNew() / 1e4)
        + " % of the water is new by them. In "
        + sums.year()
        + " so far "
        + told(sums.yearOut())
        + " out and "
        + told(sums.yearIn())
        + " in.";
  }

  private static String drift(long microPsu) {
    String psu = Figures.brief(Math.abs(microPsu) / 1e6, UnitCode.PSU);
    return psu.startsWith("0 ")
        ? "Its salinity in the night was as the exchange explains."
        : "Its salinity went "
            + psu
            + (microPsu < 0 ? " lower" : " higher")
            + " in the night than the exchange explains.";
  }

  private void bin(Bin bin) {
    BinMemory.Batch batch = bin.batch();
    if (batch != null) {
      Long left = bin.left();
      page.line(
          2,
          "New water of "
              + bin.name()
              + ": "
              + told(batch.millilitres())
              + " of "
              + Figures.brief(batch.microPsu() / 1e6, UnitCode.PSU)
              + ", confirmed by "
              + batch.by()
              + " at "
              + times.edge(batch.confirmed().wallEnd())
              + "; "
              + told(bin.drawn())
              + " drawn since"
              + (left == null
                  ? ", which leaves " + told(Math.max(0, batch.millilitres() - bin.drawn()))
                  : ", and " + told(left) + " left by its sensor")
              + ".");
      return;
    }
    Entry filled = bin.filled();
    if (filled != null) {
      page.line(
          2,
          "New water of "
              + bin.name()
              + ", at "
              + times.at(filled.mark())
              + ": "
              + filled.why()
              + ".");
    } else if (bin.waits()) {
      page.line(2, "New water of " + bin.name() + ": none is confirmed.");
    }
    if (!bin.later().isEmpty()) {
      page.line(2, "It was confirmed later, by " + bin.later() + ".");
    }
  }

  private String pump(Pump pump) {
    Double moves = pump.moves();
    Double calibrated = pump.calibrated();
    Double configured = pump.configured();
    String base =
        (calibrated == null ? "" : "calibrated to " + rate(calibrated))
            + (calibrated == null || configured == null ? "" : ", ")
            + (configured == null ? "" : "configured as " + rate(configured));
    return pump.name()
        + (moves == null ? " is " + base : " moves " + rate(moves) + " (" + base + ")");
  }

  private static String rate(double litresPerMinute) {
    return Figures.brief(litresPerMinute * 1000, UnitCode.MILLILITRE_PER_MINUTE);
  }

  static String told(@Nullable Long millilitres) {
    return millilitres == null
        ? "an unknown amount"
        : Figures.brief(millilitres / 1000.0, UnitCode.LITRES);
  }

  /** One portion in short. */
  void portion(PortionStory portion) {
    Mark began = portion.began();
    Mark ended = portion.ended();
    String label =
        began == null
            ? "begun before"
            : ended == null ? times.at(began) : times.fromTo(began, ended);
    page.item(label, "no. " + portion.number() + ": " + what(portion));
  }

  private static String what(PortionStory portion) {
    Long out = portion.out();
    String size = portion.asked() == null ? "" : "of " + told(portion.asked()) + "; ";
    return switch (portion.stage()) {
      case DONE -> told(out) + " out, " + told(portion.in()) + " in";
      case UNDER_WAY ->
          size
              + "under way, "
              + (out == null
                  ? "what went out is not known yet"
                  : told(out) + " went out and is not in again");
      case GIVEN_UP ->
          size
              + "given up"
              + (out == null ? "" : " after " + told(out) + " went out")
              + ", and counts in full";
    };
  }
}
