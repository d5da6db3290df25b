package io.github.tidewarden.audit;

import io.github.tidewarden.control.AuditRecord;

/**
 * One line as read back.
 *
 * @param seq number of the record, from 1, without gaps along the chain
 * @param record the record; its whole numbers come back as Long, numbers with decimals as
 *     BigDecimal, whatever the type that wrote them
 * @param hash the hash that the line carries, 64 lower-case hex digits
 */
public record AuditLine(long seq, AuditRecord record, String hash) {}
