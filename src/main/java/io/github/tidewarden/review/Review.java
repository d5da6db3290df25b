package io.github.tidewarden.review;

import io.github.tidewarden.schedule.Nights;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * One or more nights told in the keeper's words, from the audit alone. What the records do not say
 * is told as not known; what counts is never told as less than it can have been. Pure: the same
 * records give the same text and JSON, whenever they are told.
 */
public final class Review {
  private final ReviewedSite site;
  private final List<Night> nights;

  private Review(ReviewedSite site, List<Night> nights) {
    this.site = site;
    this.nights = List.copyOf(nights);
  }

  /**
   * One night, from noon to noon.
   *
   * @param past records of the night, and of those around it: what a night began with, what was
   *     missed in it and what was reset after it can stand there
   * @param night the date of its evening
   */
  public static Review ofNight(Past past, ReviewedSite site, LocalDate night) {
    List<Entry> entries = Timeline.of(past.records(), site.zone());
    return of(past, entries, site, List.of(Span.of(night, site.zone())));
  }

  /**
   * Everything since an instant until the last record, by night. Of the nights before the last one
   * those in which nothing is told are left out.
   *
   * @param since usually the last scheduled review
   */
  public static Review since(Past past, ReviewedSite site, Instant since) {
    List<Entry> entries = Timeline.of(past.records(), site.zone());
    LocalDate first = Nights.nightOf(since, site.zone());
    LocalDate begin = entries.isEmpty() ? first : entries.get(0).mark().night();
    first = begin.isAfter(first) ? begin : first;
    LocalDate last = first;
    for (Entry entry : entries) {
      last = entry.mark().night().isAfter(last) ? entry.mark().night() : last;
    }
    List<Span> spans = new ArrayList<>();
    for (LocalDate night = first; !night.isAfter(last); night = night.plusDays(1)) {
      spans.add(Span.of(night, site.zone()).since(since));
    }
    return of(past, entries, site, spans);
  }

  /**
   * The last night in which a window opened or was missed, one for the exchange once it is over
   * (without one, the last that has a record), and what came after it until the last record.
   * Without any record it has no night.
   */
  public static Review last(Past past, ReviewedSite site) {
    LocalDate last = null;
    LocalDate lastWindow = null;
    for (Entry entry : Timeline.of(past.records(), site.zone())) {
      last = entry.mark().night();
      LocalDate of = ofWindows(entry);
      if (of != null && (lastWindow == null || of.isAfter(lastWindow))) {
        lastWindow = of;
      }
    }
    LocalDate night = lastWindow != null ? lastWindow : last;
    if (night == null) {
      return new Review(site, List.of());
    }
    return since(past, site, Span.of(night, site.zone()).from());
  }

  /** The night of windows that a record tells of; null for none. */
  private static @Nullable LocalDate ofWindows(Entry entry) {
    return switch (entry.kind()) {
      case WINDOW_OPENED, MISSED -> Windows.night(entry.text("window"), entry.mark());
      case EXCHANGED -> {
        Long owed = entry.count("owed-ml");
        yield owed == null || owed == 0 ? null : Windows.night(entry.text("night"), entry.mark());
      }
      default -> null;
    };
  }

  private static Review of(Past past, List<Entry> entries, ReviewedSite site, List<Span> spans) {
    List<String> names = Night.tankNames(site, entries);
    Night.Stories stories = Night.Stories.of(past, entries, names);
    List<Night> nights = new ArrayList<>();
    for (Span span : spans) {
      Night night = Night.of(span, site, names, stories);
      if (!night.isQuiet() || span.equals(spans.get(spans.size() - 1))) {
        nights.add(night);
      }
    }
    // The day after the last night is told only if there is something to tell.
    if (nights.size() > 1 && nights.get(nights.size() - 1).isQuiet()) {
      nights.remove(nights.size() - 1);
    }
    return new Review(site, nights);
  }

  /** For reading: lines of at most 80 columns, each ended by a newline. */
  public String text() {
    return new TextReview(site, nights).toString();
  }

  /** For machines: one JSON document, described by {@code review.schema.json}. */
  public String json() {
    return new JsonReview(site, nights).toString();
  }
}
