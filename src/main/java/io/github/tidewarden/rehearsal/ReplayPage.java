package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.schedule.Interval;
import java.time.Duration;
import java.time.Instant;
import java.time.ZonedDateTime;
import java.time.temporal.ChronoUnit;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/**
 * A replay as a picture: of each tank two strips over the night, as recorded and as replayed or
 * otherwise, with redox between its lowest and highest probe, the ceiling, ozone, portions, trips.
 */
final class ReplayPage {
  private static final int LEFT = 70;
  private static final int WIDTH = 1100;
  private static final int REDOX_HEIGHT = 110;
  private static final int BAR = 14;
  private static final int BARE_HEIGHT = 20;
  private static final int EVERY_HOURS = 2;

  private static final String HEAD =
      """
      <!DOCTYPE html>
      <html lang="en"><head><meta charset="utf-8"><title>%1$s</title>
      <style>
      body { font: 15px/1.45 sans-serif; margin: 1.5rem; color: #1d2733; background: #fff; }
      h1 { font-size: 1.3rem; } h2 { font-size: 1.1rem; margin-top: 1.6rem; }
      pre { background: #f3f6f9; padding: .8rem; overflow-x: auto; }
      svg { max-width: 100%%; height: auto; display: block; margin: .4rem 0; }
      svg text { font: 12px sans-serif; fill: #33414f; }
      .frame { fill: #fbfcfd; stroke: #c5ced8; } .grid { stroke: #e3e8ee; }
      .redox { fill: #2b6cb0; fill-opacity: .55; stroke: #2b6cb0; stroke-width: 1; }
      .ceiling { stroke: #b3261e; stroke-width: 1.5; stroke-dasharray: 6 3; }
      .band { fill: #2f9e44; fill-opacity: .14; }
      .ozone { fill: #6741d9; } .portion { fill: #0b8793; }
      .trip { fill: #e8890c; } .latched { fill: #b3261e; }
      </style></head><body>
      <h1>%1$s</h1>
      """;

  private final Replay.Outcome outcome;
  private final Interval night;
  private final Html html = new Html();

  private ReplayPage(Replay.Outcome outcome) {
    this.outcome = outcome;
    night = outcome.interval();
  }

  static String of(Replay.Outcome outcome) {
    return new ReplayPage(outcome).write();
  }

  private String write() {
    SiteSpec site = outcome.task().site();
    html.line(HEAD, Html.escaped(site.name() + ", night of " + outcome.task().night()));
    SiteSpec against = outcome.task().against();
    Tale otherwise = outcome.otherwise();
    String second = "otherwise";
    if (against == null || otherwise == null) {
      against = site;
      otherwise = outcome.recorded();
      second = "replayed";
    } else {
      html.line(
          "<p><strong>The water is as recorded; it would have answered otherwise.</strong></p>");
    }
    html.line(
        "<p>Line: redox (ORP), between the lowest and the highest probe. Green: the band. Dashed"
            + " red: the ceiling. Bars: ozone commanded on (violet), portions of water (teal),"
            + " trips and silences (orange), latched (red). Times are those of %s.</p>",
        Html.escaped(site.zone().getId()));
    for (TankSpec tank : site.tanks()) {
      html.line("<h2>%s</h2>", Html.escaped(tank.name()));
      strip("recorded", tank, outcome.recorded());
      TankSpec other = named(against, tank.name());
      if (other == null) {
        html.line("<p>The other configuration has no such tank.</p>");
      } else {
        strip(second, other, otherwise);
      }
    }
    html.line("<pre>%s</pre></body></html>", Html.escaped(ReplayText.of(outcome)));
    return html.toString();
  }

  private static @Nullable TankSpec named(SiteSpec site, String name) {
    return site.tanks().stream().filter(tank -> tank.name().equals(name)).findFirst().orElse(null);
  }

  private void strip(String title, TankSpec spec, Tale tale) {
    Tale.OfTank tank = tale.tanks().getOrDefault(spec.name(), new Tale.OfTank());
    OzoneSpec ozone = spec.ozone();
    int height = ozone == null ? BARE_HEIGHT : REDOX_HEIGHT;
    int strip = height + 3 * BAR + 36;
    html.line(
        "<svg viewBox=\"0 0 %d %d\" role=\"img\" aria-label=\"%s, %s\">",
        LEFT + WIDTH + 60, strip, Html.escaped(spec.name()), title);
    html.line(
        "<rect class=\"frame\" x=\"%d\" y=\"0\" width=\"%d\" height=\"%d\"/>", LEFT, WIDTH, height);
    hours(strip);
    if (ozone != null) {
      redox(spec.name(), ozone);
    }
    html.line("<text x=\"%d\" y=\"14\" font-weight=\"bold\">%s</text>", LEFT + 6, title);
    int bar = height + 6;
    bars("ozone", "ozone", tank.ozone, bar);
    bars("portions", "portion", tank.portions, bar + BAR + 2);
    trips(tank.trips, bar + 2 * (BAR + 2));
    html.line("</svg>");
  }

  private void hours(int strip) {
    ZonedDateTime hour =
        night.start().atZone(outcome.task().site().zone()).truncatedTo(ChronoUnit.HOURS);
    for (; !hour.toInstant().isAfter(night.end()); hour = hour.plusHours(1)) {
      if (hour.getHour() % EVERY_HOURS == 0) {
        double x = x(hour.toInstant());
        html.line(
            "<line class=\"grid\" x1=\"%.1f\" x2=\"%.1f\" y1=\"0\" y2=\"%d\"/>", x, x, strip - 18);
        html.line(
            "<text x=\"%.1f\" y=\"%d\" text-anchor=\"middle\">%02d:00</text>",
            x, strip - 4, hour.getHour());
      }
    }
  }

  private void redox(String tank, OzoneSpec ozone) {
    Map<Instant, Range> course = outcome.redox().of(tank);
    Range all = Range.NOTHING.with(ozone.ceilingMillivolts()).with(ozone.startBelowMillivolts());
    for (Range minute : course.values()) {
      all = all.with(minute.least()).with(minute.most());
    }
    double low = Math.floor(all.least() / 20) * 20;
    double high = Math.ceil((all.most() + 1) / 20) * 20;
    Scale scale = new Scale(low, high);
    double top = scale.y(ozone.stopAboveMillivolts());
    html.line(
        "<rect class=\"band\" x=\"%d\" y=\"%.1f\" width=\"%d\" height=\"%.1f\"/>",
        LEFT, top, WIDTH, scale.y(ozone.startBelowMillivolts()) - top);
    path(course, scale);
    double ceiling = scale.y(ozone.ceilingMillivolts());
    html.line(
        "<line class=\"ceiling\" x1=\"%d\" x2=\"%d\" y1=\"%.1f\" y2=\"%.1f\"/>",
        LEFT, LEFT + WIDTH, ceiling, ceiling);
    for (double value : new double[] {low, ozone.ceilingMillivolts()}) {
      html.line(
          "<text x=\"%d\" y=\"%.1f\" text-anchor=\"end\">%.0f mV</text>",
          LEFT - 4, Math.max(11, scale.y(value) + 4), value);
    }
  }

  private record Scale(double low, double high) {
    double y(double value) {
      return REDOX_HEIGHT * (high - value) / (high - low);
    }
  }

  /** There along the highest, back along the lowest; anew after five minutes of nothing. */
  private void path(Map<Instant, Range> course, Scale scale) {
    StringBuilder there = new StringBuilder();
    StringBuilder back = new StringBuilder();
    Instant last = Instant.MIN;
    for (Map.Entry<Instant, Range> minute : course.entrySet()) {
      Instant at = minute.getKey();
      if (!there.isEmpty() && last.plus(Duration.ofMinutes(5)).isBefore(at)) {
        html.line("<path class=\"redox\" d=\"M%s%sZ\"/>", there, back);
        there.setLength(0);
        back.setLength(0);
      }
      last = at;
      String x = String.format(Locale.ROOT, "%.1f", x(at));
      there
          .append(there.isEmpty() ? "" : "L")
          .append(x)
          .append(',')
          .append(String.format(Locale.ROOT, "%.1f", scale.y(minute.getValue().most())));
      back.insert(
          0, String.format(Locale.ROOT, "L%s,%.1f", x, scale.y(minute.getValue().least()) + 1));
    }
    if (!there.isEmpty()) {
      html.line("<path class=\"redox\" d=\"M%s%sZ\"/>", there, back);
    }
  }

  private void bars(String title, String kind, List<Tale.Span> spans, int y) {
    html.line("<text x=\"%d\" y=\"%d\" text-anchor=\"end\">%s</text>", LEFT - 4, y + 11, title);
    for (Tale.Span span : spans) {
      double from = x(span.from());
      html.line(
          "<rect class=\"%s\" x=\"%.1f\" y=\"%d\" width=\"%.1f\" height=\"%d\"/>",
          kind, from, y, Math.max(1, x(span.to()) - from), BAR);
    }
  }

  private void trips(List<Tale.Mark> trips, int y) {
    html.line("<text x=\"%d\" y=\"%d\" text-anchor=\"end\">trips</text>", LEFT - 4, y + 11);
    for (Tale.Mark trip : trips) {
      html.line(
          "<rect class=\"%s\" x=\"%.1f\" y=\"%d\" width=\"4\" height=\"%d\"><title>%s</title></rect>",
          trip.latched() ? "latched" : "trip", x(trip.at()) - 2, y, BAR, Html.escaped(trip.what()));
    }
  }

  private double x(Instant at) {
    double whole = Duration.between(night.start(), night.end()).toMillis();
    double part = Duration.between(night.start(), at).toMillis() / whole;
    return LEFT + WIDTH * Math.min(1, Math.max(0, part));
  }
}
