package io.github.tidewarden.review;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import java.math.BigDecimal;
import java.util.List;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/**
 * A record and when it was written. Its fields are read leniently: a review tells less where a
 * record says less, and never fails.
 */
record Entry(Mark mark, AuditRecord record) {

  Kind kind() {
    return record.kind();
  }

  String tank() {
    return record.tank();
  }

  String why() {
    return record.why();
  }

  /** A text; empty when it is not there. */
  String text(String name) {
    return record.fields().get(name) instanceof String text ? text : "";
  }

  @Nullable Long count(String name) {
    return record.fields().get(name) instanceof Long count ? count : null;
  }

  @Nullable BigDecimal figure(String name) {
    return figure(record.fields().get(name));
  }

  boolean flag(String name) {
    return Boolean.TRUE.equals(record.fields().get(name));
  }

  List<String> texts(String name) {
    return record.fields().get(name) instanceof List<?> list
        ? list.stream().filter(String.class::isInstance).map(String.class::cast).toList()
        : List.of();
  }

  Redox redox(String name) {
    return record.fields().get(name) instanceof Map<?, ?> figures
        ? new Redox(
            figure(figures.get("start-mv")),
            figure(figures.get("peak-mv")),
            figure(figures.get("end-mv")))
        : Redox.UNKNOWN;
  }

  private static @Nullable BigDecimal figure(@Nullable Object value) {
    return value instanceof BigDecimal decimal
        ? decimal
        : value instanceof Long count ? BigDecimal.valueOf(count) : null;
  }
}
