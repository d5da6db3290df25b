package io.github.tidewarden.review;

import io.github.tidewarden.exchange.Portion;
import java.time.LocalDate;
import java.util.Locale;
import org.jspecify.annotations.Nullable;

/**
 * One portion of water, as its records come in.
 *
 * @param number counts the portions of the tank
 * @param night whose share it is
 * @param stage how far the records tell of it
 * @param began when it was reserved; null when no record read tells
 * @param drained when it was known what went out; null when no record read tells
 * @param ended when it was done or given up; null when no record read tells
 * @param asked what was to be exchanged, mL; null when no record read tells
 * @param out what went out, mL; null when it is not known
 * @param in what came in, mL; null when it is not known
 * @param salinity whether the tank's salinity was measured before it
 */
record PortionStory(
    long number,
    LocalDate night,
    Stage stage,
    @Nullable Mark began,
    @Nullable Mark drained,
    @Nullable Mark ended,
    @Nullable Long asked,
    @Nullable Long out,
    @Nullable Long in,
    boolean salinity) {

  /** How far a portion is. */
  enum Stage {
    /** It has no end in the records. */
    UNDER_WAY,
    /** What went out came in again. */
    DONE,
    /** A keeper ended it, or nobody knows what became of it; it counts in full. */
    GIVEN_UP;

    String word() {
      return name().toLowerCase(Locale.ROOT).replace('_', '-');
    }
  }

  /** Nothing but its number is known. */
  static PortionStory of(long number, Entry entry) {
    return new PortionStory(
        number,
        Windows.night(entry.text("night"), entry.mark()),
        Stage.UNDER_WAY,
        null,
        null,
        null,
        null,
        null,
        null,
        false);
  }

  /** One that is under way since before the first record read. */
  static PortionStory of(Portion portion) {
    boolean drained = portion.stage() == Portion.Stage.FILLING;
    return new PortionStory(
        portion.number(),
        portion.night(),
        Stage.UNDER_WAY,
        null,
        null,
        null,
        portion.millilitres(),
        drained ? portion.outMillilitres() : null,
        null,
        false);
  }

  PortionStory begins(Entry entry) {
    return new PortionStory(
        number,
        night,
        stage,
        entry.mark(),
        drained,
        ended,
        entry.count("portion-ml"),
        out,
        in,
        entry.count("salinity-upsu") != null);
  }

  PortionStory wentOut(Entry entry) {
    return new PortionStory(
        number,
        night,
        stage,
        began,
        entry.mark(),
        ended,
        asked,
        entry.count("out-ml"),
        in,
        salinity);
  }

  PortionStory done(Entry entry) {
    return new PortionStory(
        number,
        night,
        Stage.DONE,
        began,
        drained,
        entry.mark(),
        asked,
        entry.count("out-ml"),
        entry.count("in-ml"),
        salinity);
  }

  PortionStory givenUp(Mark at) {
    return stage == Stage.UNDER_WAY
        ? new PortionStory(
            number, night, Stage.GIVEN_UP, began, drained, at, asked, out, in, salinity)
        : this;
  }

  boolean isUnderWay() {
    return stage == Stage.UNDER_WAY;
  }

  /** Whether it is of a span's night, or reaches into the span from one before. */
  boolean touches(Span span) {
    Mark from = began == null ? drained : began;
    Mark to = ended;
    boolean begunBefore = from == null || from.isBeforeEndOf(span);
    boolean endedBefore = to != null && to.isBeforeEndOf(span) && !to.isIn(span);
    return begunBefore && !endedBefore && !night.isAfter(span.night());
  }

  /** Whether it was under way at some time between two marks; no end is for ever. */
  boolean meets(Mark from, @Nullable Mark to) {
    Mark start = began;
    Mark end = ended;
    return start != null
        && (to == null || to.index() >= start.index())
        && (end == null || from.index() < end.index());
  }
}
