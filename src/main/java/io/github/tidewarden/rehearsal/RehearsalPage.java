package io.github.tidewarden.rehearsal;

import io.github.tidewarden.config.TankModelFile;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import java.util.List;
import java.util.Locale;
import java.util.Objects;
import java.util.function.Function;
import java.util.function.ToDoubleFunction;

/**
 * Rehearsed nights as a picture in one self-contained page: of each tank, night by night, redox
 * between its lowest and highest with band and ceiling, ozone given, water exchanged against its
 * share, level and salinity between their lowest and highest.
 */
public final class RehearsalPage {
  private static final int LEFT = 90;
  private static final int WIDTH = 900;
  private static final int HEIGHT = 110;
  private static final int RIGHT = 90;

  private static final String HEAD =
      """
      <!DOCTYPE html>
      <html lang="en"><head><meta charset="utf-8">
      <meta name="viewport" content="width=device-width, initial-scale=1"><title>%1$s</title>
      <style>
      :root { color-scheme: light dark; --ink: #1d2733; --soft: #5a6774; --line: #c5ced8; --paper: #fff; }
      @media (prefers-color-scheme: dark) {
        :root { --ink: #e6ebf0; --soft: #a3b0bd; --line: #46525f; --paper: #14191f; } }
      body { font: 15px/1.45 sans-serif; margin: 1.5rem; color: var(--ink); background: var(--paper); }
      h1 { font-size: 1.3rem; } h2 { font-size: 1.1rem; margin-top: 1.6rem; }
      pre { overflow-x: auto; overflow-wrap: anywhere; border: 1px solid var(--line); padding: .8rem; white-space: pre-wrap; }
      svg { max-width: 100%%; height: auto; display: block; margin: .5rem 0; }
      svg text { font: 12px sans-serif; fill: var(--soft); }
      svg text.name { font-weight: bold; fill: var(--ink); }
      .frame { fill: none; stroke: var(--line); }
      .range { fill: #2b6cb0; fill-opacity: .7; } .bar { fill: #0b8793; } .ozone { fill: #7a5bd0; }
      .limit { stroke: #c4362c; stroke-width: 1.5; stroke-dasharray: 6 3; }
      .wanted { fill: #2f9e44; fill-opacity: .18; } .fault { fill: #e8890c; fill-opacity: .16; }
      </style></head><body>
      <h1>%1$s</h1>
      <p>A bar for each night. Blue: from the lowest to the highest value of the water itself. Green: where it is to be
      kept. Dashed red: a limit, or the share of water. Orange behind a night: it had faults. The tanks are simulated: yours is another, and this
      proves nothing about the real water.</p>
      """;

  private final Rehearsal.Task task;
  private final Rehearsal.Outcome outcome;
  private final Html html = new Html();

  private RehearsalPage(Rehearsal.Task task, Rehearsal.Outcome outcome) {
    this.task = task;
    this.outcome = outcome;
  }

  /**
   * The page.
   *
   * @param tookNanos how long it took in real time, ns
   * @param again the command that shows it again
   */
  public static String of(
      Rehearsal.Task task, Rehearsal.Outcome outcome, long tookNanos, String again) {
    return new RehearsalPage(task, outcome)
        .write(RehearsalText.of(task, outcome, tookNanos, again));
  }

  private String write(String told) {
    String site = task.spec().name();
    html.line(
        HEAD, Html.escaped(site + ", " + task.nights() + " rehearsed nights from " + task.first()));
    TankModelFile file = task.models().file();
    if (file != null) {
      html.line(
          "<p>The tanks are those of <b>%s</b> (SHA-256 %s), and typical where it says nothing.</p>",
          Html.escaped(file.name()), file.digest());
    }
    for (TankSpec tank : task.spec().tanks()) {
      html.line("<h2>%s</h2>", Html.escaped(tank.name()));
      tank(tank, Objects.requireNonNull(outcome.nights().get(tank.name())));
    }
    html.line("<h2>In words</h2>");
    html.line("<pre>%s</pre></body></html>", Html.escaped(told));
    return html.toString();
  }

  private void tank(TankSpec tank, List<RehearsedNight> nights) {
    OzoneSpec ozone = tank.ozone();
    if (ozone != null) {
      ranges(
          new Strip("redox (ORP)", "mV", nights, ozone.ceilingMillivolts())
              .kept(ozone.startBelowMillivolts(), ozone.stopAboveMillivolts()),
          RehearsedNight::redoxMillivolts);
      double most = ozone.mostPerNightNanos() / 60e9;
      bars(new Strip("ozone", "min", nights, most), "ozone", night -> night.ozoneNanos() / 60e9);
    }
    if (ozone != null) {
      ranges(new Strip("room ozone", "ppb", nights, Double.NaN), RehearsedNight::roomPpb);
    }
    ExchangeSpec exchange = tank.exchange();
    if (exchange != null) {
      bars(
          new Strip("water out", "L", nights, exchange.litresPerDay()),
          "bar",
          RehearsedNight::outLitres);
      ExchangeSpec.Level level = exchange.level();
      if (level != null) {
        ranges(
            new Strip("level", "mm", nights, level.highMillimetres())
                .kept(level.lowMillimetres(), level.highMillimetres()),
            RehearsedNight::levelMillimetres);
      }
      ranges(new Strip("salinity", "PSU", nights, Double.NaN), RehearsedNight::psu);
      ranges(new Strip("nutrient", "mg/L", nights, Double.NaN), RehearsedNight::nutrient);
    }
  }

  /** What one strip is about. */
  private static final class Strip {
    final String name;
    final String unit;
    final List<RehearsedNight> nights;
    final double limit;
    double keptLow = Double.NaN;
    double keptHigh = Double.NaN;
    Range scale = Range.NOTHING;

    Strip(String name, String unit, List<RehearsedNight> nights, double limit) {
      this.name = name;
      this.unit = unit;
      this.nights = nights;
      this.limit = limit;
      with(limit);
    }

    Strip kept(double low, double high) {
      keptLow = low;
      keptHigh = high;
      with(low);
      with(high);
      return this;
    }

    void with(double value) {
      if (!Double.isNaN(value)) {
        scale = scale.with(value);
      }
    }

    double y(double value) {
      double span = scale.most() - scale.least();
      return span <= 0 ? HEIGHT / 2.0 : 4 + (HEIGHT - 8) * (scale.most() - value) / span;
    }

    double x(int night) {
      return LEFT + (double) WIDTH * night / nights.size();
    }
  }

  private void ranges(Strip strip, Function<RehearsedNight, Range> of) {
    for (RehearsedNight night : strip.nights) {
      strip.with(of.apply(night).least());
      strip.with(of.apply(night).most());
    }
    begin(strip);
    for (int i = 0; i < strip.nights.size(); i++) {
      Range range = of.apply(strip.nights.get(i));
      if (range.count() > 0) {
        bar(strip, i, "range", range.least(), range.most());
      }
    }
    end(strip);
  }

  private void bars(Strip strip, String kind, ToDoubleFunction<RehearsedNight> of) {
    strip.with(0);
    strip.nights.forEach(night -> strip.with(of.applyAsDouble(night)));
    begin(strip);
    for (int i = 0; i < strip.nights.size(); i++) {
      bar(strip, i, kind, 0, of.applyAsDouble(strip.nights.get(i)));
    }
    end(strip);
  }

  private void begin(Strip strip) {
    html.line(
        "<svg viewBox=\"0 0 %d %d\" role=\"img\" aria-label=\"%s, %s to %s %s\">",
        LEFT + WIDTH + RIGHT,
        HEIGHT + 18,
        Html.escaped(strip.name),
        figure(strip.scale.least()),
        figure(strip.scale.most()),
        strip.unit);
    for (int i = 0; i < strip.nights.size(); i++) {
      if (outcome.storms().containsKey(strip.nights.get(i).night())) {
        html.line(
            "<rect class=\"fault\" x=\"%.1f\" y=\"0\" width=\"%.1f\" height=\"%d\"/>",
            strip.x(i), strip.x(i + 1) - strip.x(i), HEIGHT);
      }
    }
    if (!Double.isNaN(strip.keptLow)) {
      double top = strip.y(strip.keptHigh);
      html.line(
          "<rect class=\"wanted\" x=\"%d\" y=\"%.1f\" width=\"%d\" height=\"%.1f\"/>",
          LEFT, top, WIDTH, strip.y(strip.keptLow) - top);
    }
  }

  private void bar(Strip strip, int night, String kind, double low, double high) {
    double width = Math.min(24, (strip.x(1) - strip.x(0)) * 0.7);
    double middle = (strip.x(night) + strip.x(night + 1)) / 2;
    double top = strip.y(high);
    html.line(
        "<rect class=\"%s\" x=\"%.1f\" y=\"%.1f\" width=\"%.1f\" height=\"%.1f\"><title>%s: %s to %s"
            + " %s</title></rect>",
        kind,
        middle - width / 2,
        top,
        width,
        Math.max(1, strip.y(low) - top),
        strip.nights.get(night).night(),
        figure(low),
        figure(high),
        strip.unit);
  }

  private void end(Strip strip) {
    if (!Double.isNaN(strip.limit)) {
      double y = strip.y(strip.limit);
      html.line(
          "<line class=\"limit\" x1=\"%d\" x2=\"%d\" y1=\"%.1f\" y2=\"%.1f\"/>",
          LEFT, LEFT + WIDTH, y, y);
    }
    html.line(
        "<rect class=\"frame\" x=\"%d\" y=\"0\" width=\"%d\" height=\"%d\"/>", LEFT, WIDTH, HEIGHT);
    html.line(
        "<text class=\"name\" x=\"%d\" y=\"60\" text-anchor=\"end\">%s</text>",
        LEFT - 6, strip.name);
    for (double value : new double[] {strip.scale.least(), strip.scale.most()}) {
      html.line(
          "<text x=\"%d\" y=\"%.1f\">%s %s</text>",
          LEFT + WIDTH + 6, Math.min(HEIGHT, strip.y(value) + 6), figure(value), strip.unit);
    }
    html.line(
        "<text x=\"%d\" y=\"%d\">%s</text><text x=\"%d\" y=\"%d\" text-anchor=\"end\">%s</text></svg>",
        LEFT,
        HEIGHT + 14,
        strip.nights.get(0).night(),
        LEFT + WIDTH,
        HEIGHT + 14,
        strip.nights.get(strip.nights.size() - 1).night());
  }

  private static String figure(double value) {
    return String.format(Locale.ROOT, Math.abs(value) < 50 ? "%.2f" : "%.0f", value);
  }
}
