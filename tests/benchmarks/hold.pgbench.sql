-- The same rows as one POST /holds with two lines, in one transaction, straight to the database.
\set one random(1, :parts)
\set other random(1, :parts)
\set first least(:one, :other)
\set second greatest(:one, :other) + (case when :one = :other then 1 else 0 end)
\set key random(1, 9000000000000000)
BEGIN;
INSERT INTO inventory_rememberedanswer (client_id, method, path, key, body_digest, created_at)
    VALUES (2, 'POST', '/api/v1/holds', 'pgbench-' || :key || '-' || :client_id, repeat('0', 64), now()) ON CONFLICT DO NOTHING RETURNING id \gset answer_
SELECT id, on_hand, held, version FROM inventory_balance WHERE id IN (:first, :second) ORDER BY id FOR NO KEY UPDATE;
SELECT line.id FROM inventory_holdline line JOIN inventory_hold hold ON hold.id = line.hold_id
    WHERE hold.state IN ('open', 'short') AND hold.expires_at <= now() AND line.balance_id IN (:first, :second) AND line.quantity > 0;
INSERT INTO inventory_hold (purpose, state, client_id, created_at, expires_at)
    VALUES ('web', 'open', 2, now(), now() + interval '15 minutes') RETURNING id \gset hold_
INSERT INTO inventory_holdline (hold_id, balance_id, quantity, asked)
    SELECT :hold_id, id, 1, 1 FROM inventory_balance WHERE id IN (:first, :second);
INSERT INTO inventory_movement (balance_id, version, on_hand_delta, held_delta, on_hand, held, client_id, reason,
        cause_kind, cause_id, posting, at, currency, transaction)
    SELECT id, version + 1, 0, 1, on_hand, held + 1, 2, 'held', 'hold', :hold_id, gen_random_uuid(), now(), '', 0
    FROM inventory_balance WHERE id IN (:first, :second);
UPDATE inventory_rememberedanswer SET status = 201, body = '{"state": "open"}' WHERE id = :answer_id;
COMMIT;
