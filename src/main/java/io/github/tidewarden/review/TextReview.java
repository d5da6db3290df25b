package io.github.tidewarden.review;

import io.github.tidewarden.config.RoomFill;
import io.github.tidewarden.config.RoomText;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.review.Happening.Sort;
import java.time.Instant;
import java.util.List;
import java.util.Objects;
import java.util.Set;
import java.util.TreeSet;
import java.util.stream.Collectors;

/** A review for reading. */
final class TextReview {
  private final ReviewedSite site;
  private final Page page = new Page();

  TextReview(ReviewedSite site, List<Night> nights) {
    this.site = site;
    page.line(0, "Review of " + site.name());
    if (nights.isEmpty()) {
      page.line(0, "Nothing is recorded yet.");
      return;
    }
    Instant from = nights.get(0).span().from();
    Instant to = nights.get(nights.size() - 1).span().to();
    page.line(0, LocalTimes.offsets(site.zone(), from, to) + " A night lasts from noon to noon.");
    Set<String> references = references(nights);
    String reference = references.size() == 1 ? references.iterator().next() : "";
    if (!references.isEmpty()) {
      page.line(
          0, "Redox (ORP) is in mV" + (reference.isEmpty() ? "." : " against " + reference + "."));
    }
    site.rooms().forEach(this::room);
    for (Night night : nights) {
      page.blank();
      night(night, reference.isEmpty());
    }
  }

  /** Once, for it is the same each night. */
  private void room(RoomFill fill) {
    if (!fill.limits().isEmpty()) {
      page.line(
          0,
          "Should all of the "
              + Figures.brief(fill.milligramsPerHour(), UnitCode.MILLIGRAM_PER_HOUR)
              + " that is made in "
              + fill.room()
              + " leak: "
              + fill.limits().stream().map(RoomText::reached).collect(Collectors.joining("; "))
              + "; well mixed, with no credit for decay, and sooner near the leak.");
    }
  }

  /** The electrodes of the tanks; empty text for one whose electrode is not known. */
  private static Set<String> references(List<Night> nights) {
    Set<String> references = new TreeSet<>();
    for (Night night : nights) {
      for (TankNight tank : night.tanks()) {
        String reference = tank.reference();
        if (reference != null) {
          references.add(reference);
        } else if (tank.hasRedox()) {
          references.add("");
        }
      }
    }
    return references;
  }

  private void night(Night night, boolean eachReference) {
    LocalTimes times = new LocalTimes(site.zone(), night.span());
    boolean whole = Span.of(night.span().night(), site.zone()).equals(night.span());
    String title =
        "Night of "
            + LocalTimes.date(night.span().night())
            + (whole ? "" : ", since " + times.edge(night.span().from()));
    page.line(0, title);
    page.line(0, "=".repeat(title.length()));
    for (TankNight tank : night.tanks()) {
      page.blank();
      new TextTank(page, times, site).tell(tank, Verdict.of(tank, night), eachReference);
    }
    site(night, times);
    page.blank();
    Mark last = night.last();
    page.line(
        0,
        last == null
            ? "No record is of this night."
            : "Told from "
                + Words.count(night.records(), "record")
                + ", the last of "
                + times.at(last)
                + ". What happened after it is not known.");
  }

  private void site(Night night, LocalTimes times) {
    List<Happening> told =
        night.site().stream().filter(happening -> !isToldAlready(happening, night)).toList();
    if (told.isEmpty()) {
      return;
    }
    page.blank();
    page.line(0, "The site");
    TextTank.limited(page, told, happening -> page.item(label(happening, times), what(happening)));
  }

  /** A start that ends a stop or a crash. */
  private static boolean isToldAlready(Happening happening, Night night) {
    return happening.sort() == Sort.START
        && night.site().stream()
            .anyMatch(
                other ->
                    other.sort() != Sort.START && Objects.equals(other.until(), happening.at()));
  }

  private static String label(Happening happening, LocalTimes times) {
    return happening.lasts()
        ? times.fromTo(happening.at(), happening.until())
        : times.at(happening.at());
  }

  private static String what(Happening happening) {
    return switch (happening.sort()) {
      case STOP ->
          happening.until() == null ? happening.what() : happening.what() + "; then started again";
      case AUDIT_GAP -> "the audit has a gap: " + happening.what();
      case AUDIT -> "the audit: " + happening.what();
      default -> happening.what();
    };
  }

  @Override
  public String toString() {
    return page.toString();
  }
}
