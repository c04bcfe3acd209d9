"""Which worker gets what: mail and takes do not wait for each other."""

from studio.setup.celery import app


def test_mail_does_not_stand_in_the_lane_of_the_takes():
    lanes = {
        name: app.amqp.router.route({}, name)["queue"].name
        for name in ("studio.send_mail", "studio.sweep_mail")
    }
    assert set(lanes.values()) == {"mail"}
    assert app.amqp.router.route({}, "recordings.measure")["queue"].name == "celery"
    # A worker that is told of no lane, as before there were two, serves both.
    assert set(app.amqp.queues.consume_from) == {"celery", "mail"}
    bound = {(queue.exchange.name, queue.routing_key) for queue in app.amqp.queues.values()}
    assert bound == {("celery", "celery"), ("mail", "mail")}
