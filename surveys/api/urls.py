"""The interface's addresses. Each answers with and without its last slash; a collection's proper form ends in one."""

import re
from typing import Any, Final

from django.urls import URLPattern
from django.urls.resolvers import RoutePattern
from django.utils.functional import cached_property
from drf_spectacular.views import SpectacularAPIView, SpectacularSwaggerSplitView

from surveys.api.collections import ATTACHMENTS, INTERPRETATIONS, MICROSCOPES, RECORDS, SCHEDULE_ROWS, SCHEDULES, TRAVERSES
from surveys.api.views import (
    changes,
    colours,
    findings,
    generations,
    invitations,
    lines,
    members,
    my_sessions,
    news,
    passwords,
    past,
    pictures,
    presence,
    projects,
    questions,
    reasons,
    records,
    results,
    saved_views,
    schedules,
    second_factor,
    sendings,
    session,
    talk,
    work,
)
from surveys.api.views.elements import AsOf, Readings
from surveys.models import Element

END: Final = r"\Z"


class Either(RoutePattern):
    """A route that answers with and without its last slash: a redirect would lose the body of a POST."""

    @cached_property
    def both(self) -> re.Pattern[str]:
        """Both forms at once: there are a hundred routes, and each request is held against them one by one."""
        return re.compile(rf"{self.regex.pattern.removesuffix(END).removesuffix('/')}/?{END}")

    def match(self, path: str) -> Any:
        """As the route says, or with the slash put on or taken off."""
        if self.both.match(path) is None:
            return None
        other = path[:-1] if path.endswith("/") else f"{path}/"
        return super().match(path) or super().match(other)


def route(path: str, view: Any, name: str) -> URLPattern:
    """One address."""
    return URLPattern(Either(path, name=name, is_endpoint=True), view, None, name)


PROJECT = "projects/<str:code>"

urlpatterns = [
    route("session", session.SessionView.as_view(), "session"),
    route("me", session.Me.as_view(), "me"),
    route("me/password", passwords.MyPassword.as_view(), "my-password"),
    route("me/email", passwords.MyEmail.as_view(), "my-email"),
    route("me/sessions/", my_sessions.MySessions.as_view(), "my-sessions"),
    route("me/sessions/end-others", my_sessions.EndingOthers.as_view(), "my-sessions-end"),
    route("me/sessions/<uuid:record_id>/end", my_sessions.EndingOne.as_view(), "my-session-end"),
    route("me/second-factor", second_factor.SecondFactor.as_view(), "second-factor"),
    route("me/second-factor/confirm", second_factor.Confirming.as_view(), "second-factor-confirm"),
    route("me/second-factor/off", second_factor.TurningOff.as_view(), "second-factor-off"),
    route("me/second-factor/recovery-codes", second_factor.NewCodes.as_view(), "recovery-codes"),
    route("password-resets/", passwords.PasswordResets.as_view(), "password-resets"),
    route("password-resets/use", passwords.NewPassword.as_view(), "password-reset-use"),
    route("invitations/look", invitations.Look.as_view(), "invitation-look"),
    route("invitations/accept", invitations.Accept.as_view(), "invitation-accept"),
    route("tokens/", session.Tokens.as_view(), "tokens"),
    route("tokens/<uuid:record_id>", session.OneToken.as_view(), "token"),
    route("me/news", news.AllNews.as_view(), "my-news"),
    route("colours", colours.Colours.as_view(), "colours"),
    route("vocabulary", results.Vocabulary.as_view(), "vocabulary"),
    route("projects/", projects.Projects.as_view(), "projects"),
    route(PROJECT, projects.OneProject.as_view(), "project"),
    route(f"{PROJECT}/members/", members.MemberList.as_view(), "members"),
    route(f"{PROJECT}/members/<uuid:record_id>", members.Member.as_view(), "member"),
    route(f"{PROJECT}/members/<uuid:record_id>/leaving", members.Leaving.as_view(), "member-leaving"),
    route(f"{PROJECT}/leaving", members.Leaving.as_view(), "leaving"),
    route(f"{PROJECT}/handing-over", members.HandingOver.as_view(), "handing-over"),
    route(f"{PROJECT}/invitations/", invitations.Invitations.as_view(), "invitations"),
    route(f"{PROJECT}/invitations/<uuid:record_id>", invitations.OneInvitation.as_view(), "invitation"),
    route(f"{PROJECT}/presence/", presence.Presence.as_view(), "presence"),
    route(f"{PROJECT}/views/", saved_views.SavedViews.as_view(), "views"),
    route(f"{PROJECT}/views/<uuid:record_id>", saved_views.OneSavedView.as_view(), "view"),
    route(f"{PROJECT}/changes/", changes.Changes.as_view(), "changes"),
    route(f"{PROJECT}/history/<uuid:record_id>", past.History.as_view(), "history"),
    route(f"{PROJECT}/history/<uuid:record_id>/restore", past.PuttingBack.as_view(), "history-restore"),
    route(f"{PROJECT}/removed/", past.Removed.as_view(), "removed"),
    route(f"{PROJECT}/restorations/", changes.Restorations.as_view(), "restorations"),
    route(f"{PROJECT}/news/", news.News.as_view(), "news"),
    route(f"{PROJECT}/news/seen", news.SeenNews.as_view(), "news-seen"),
    route(f"{PROJECT}/comments/", talk.Comments.as_view(), "comments"),
    route(f"{PROJECT}/comments/candidates", talk.Candidates.as_view(), "comment-candidates"),
    route(f"{PROJECT}/comments/threads", talk.Threads.as_view(), "comment-threads"),
    route(f"{PROJECT}/comments/<uuid:record_id>", talk.OneComment.as_view(), "comment"),
    route(f"{PROJECT}/comments/<uuid:record_id>/resolve", talk.Resolve.as_view(), "comment-resolve"),
    route(f"{PROJECT}/comments/<uuid:record_id>/reopen", talk.Reopen.as_view(), "comment-reopen"),
    route(f"{PROJECT}/questions/", questions.Questions.as_view(), "questions"),
    route(f"{PROJECT}/questions/<uuid:record_id>", questions.OneQuestion.as_view(), "question"),
    route(f"{PROJECT}/questions/<uuid:record_id>/answer", questions.Answering.as_view(), "question-answer"),
    route(f"{PROJECT}/questions/<uuid:record_id>/withdraw", questions.Withdrawing.as_view(), "question-withdraw"),
    route(f"{PROJECT}/questions/<uuid:record_id>/reopen", questions.AskingAgain.as_view(), "question-reopen"),
    route(f"{PROJECT}/schedules/<uuid:record_id>/transitions", schedules.Transitions.as_view(), "schedule-transitions"),
    route(f"{PROJECT}/schedules/<uuid:record_id>/draft", schedules.Draft.as_view(), "schedule-draft"),
    route(f"{PROJECT}/issues/", schedules.Issues.as_view(), "issues"),
    route(f"{PROJECT}/issues/<uuid:record_id>", schedules.OneIssue.as_view(), "issue"),
    route(f"{PROJECT}/issues/<uuid:record_id>/since", schedules.Since.as_view(), "issue-since"),
    route(f"{PROJECT}/issues/<uuid:record_id>/comments/", schedules.Remarks.as_view(), "issue-comments"),
    route(f"{PROJECT}/issues/<uuid:record_id>/files/<str:name>", schedules.IssueFile.as_view(), "issue-file"),
    route(f"{PROJECT}/sendings/", sendings.Sendings.as_view(), "sendings"),
    route(f"{PROJECT}/sendings/<uuid:record_id>", sendings.OneSending.as_view(), "sending"),
    route(f"{PROJECT}/sendings/<uuid:record_id>/parts/<int:start>", sendings.SendingParts.as_view(), "sending-part"),
    route(f"{PROJECT}/sendings/<uuid:record_id>/finish", sendings.SendingEnd.as_view(), "sending-finish"),
    route(f"{PROJECT}/attachments/<uuid:record_id>/original", pictures.Original.as_view(), "attachment-original"),
    route(f"{PROJECT}/attachments/<uuid:record_id>/thumbnail", pictures.Thumbnail.as_view(), "attachment-thumbnail"),
    route(f"{PROJECT}/attachments/<uuid:record_id>/tiles", pictures.Tiles.as_view(), "attachment-tiles"),
    route(f"{PROJECT}/attachments/<uuid:record_id>/tiles/<int:level>/<int:column>_<int:row>", pictures.Tile.as_view(), "attachment-tile"),
    route(f"{PROJECT}/uploads/", work.Uploads.as_view(), "uploads"),
    route(f"{PROJECT}/uploads/<uuid:record_id>", work.OneUpload.as_view(), "upload"),
    route(f"{PROJECT}/jobs/", work.Jobs.as_view(), "jobs"),
    route(f"{PROJECT}/jobs/<uuid:record_id>", work.OneJob.as_view(), "job"),
    route(f"{PROJECT}/jobs/<uuid:record_id>/cancel", work.Cancel.as_view(), "job-cancel"),
    route(f"{PROJECT}/jobs/<uuid:record_id>/files/<str:name>", work.JobFile.as_view(), "job-file"),
    route(f"{PROJECT}/spaces/<uuid:record_id>/chart", results.Chart.as_view(), "chart"),
    route(f"{PROJECT}/spaces/<uuid:record_id>/chart.svg", results.ChartDrawing.as_view(), "chart-drawing"),
    route(f"{PROJECT}/spaces/<uuid:record_id>/looking/", reasons.Looking.as_view(), "looking"),
    route(f"{PROJECT}/campaigns/", reasons.Campaigns.as_view(), "campaigns"),
    route(f"{PROJECT}/layers/<uuid:record_id>/why", reasons.Why.as_view(), "layer-why"),
    route(f"{PROJECT}/generations/<uuid:record_id>/join", generations.Join.as_view(), "generation-join"),
    route(f"{PROJECT}/generations/<uuid:record_id>/split", generations.Split.as_view(), "generation-split"),
    route(f"{PROJECT}/dating/", results.Dating.as_view(), "dating"),
    route(f"{PROJECT}/coverage/", results.Coverage.as_view(), "coverage"),
    route(f"{PROJECT}/readings/", Readings.as_view(), "readings"),
    route(f"{PROJECT}/as-of/", AsOf.as_view(), "as-of"),
    route(f"{PROJECT}/spaces/<uuid:record_id>/side-by-side", findings.SideBySide.as_view(), "space-sides"),
    route(f"{PROJECT}/elements/<uuid:record_id>/side-by-side", findings.SideBySide.as_view(place=Element), "element-sides"),
    route(f"{PROJECT}/interpretations/<uuid:record_id>/review", findings.Review.as_view(), "review"),
    route(f"{PROJECT}/interpretations/<uuid:record_id>/transitions", findings.Transitions.as_view(), "transitions"),
    route(f"{PROJECT}/interpretations/<uuid:record_id>/reviews", findings.Reviewers.as_view(), "reviews"),
    route(f"{PROJECT}/interpretations/<uuid:record_id>/reviews/looked", findings.Looked.as_view(), "review-looked"),
    route(f"{PROJECT}/traverses/<uuid:record_id>/profile", lines.Profile.as_view(), "traverse-profile"),
    route(f"{PROJECT}/samples/<uuid:record_id>/lines", lines.SampleLines.as_view(), "sample-lines"),
    route(f"{PROJECT}/samples/<uuid:record_id>/lines/accept", lines.Accepting.as_view(), "sample-lines-accept"),
    route(f"{PROJECT}/targets/", lines.Targets.as_view(), "targets"),
    route(f"{PROJECT}/measurements/", lines.Measurements.as_view(), "measurements"),
    route(f"{PROJECT}/measurements/<uuid:record_id>", lines.OneMeasurement.as_view(), "measurement"),
    route(f"{PROJECT}/registrations/", lines.Registrations.as_view(), "registrations"),
    route(f"{PROJECT}/registrations/<uuid:record_id>", lines.OneRegistration.as_view(), "registration"),
    route("schema", SpectacularAPIView.as_view(), "schema"),
    route("docs", SpectacularSwaggerSplitView.as_view(url_name="schema"), "docs"),
]
for _collection in (*RECORDS, INTERPRETATIONS, SCHEDULES, SCHEDULE_ROWS, MICROSCOPES, ATTACHMENTS, TRAVERSES):
    _here = f"{PROJECT}/{_collection.name}/"
    urlpatterns += [
        route(_here, records.Many.as_view(collection=_collection), _collection.name),
        route(f"{_here}batch", records.Batch.as_view(collection=_collection), f"{_collection.name}-batch"),
        route(f"{_here}<uuid:record_id>", records.One.as_view(collection=_collection), f"{_collection.name}-one"),
    ]
