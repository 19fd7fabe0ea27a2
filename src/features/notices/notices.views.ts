import { ArgsType, InputType, ObjectType } from "@nestjs/graphql";
import { ApiProperty, ApiSchema } from "@nestjs/swagger";
import { connectionOf, PageArgs, PageInfo } from "../../platform/paging/page.js";
import {
  BooleanField,
  DateTimeField,
  declareEnum,
  EnumField,
  IdField,
  IdListField,
  IntField,
  ObjectField,
  StringField,
} from "../../platform/views/index.js";
import { NOTICE_KINDS, NOTICES, type NoticeKind, type NoticeSubject, SUBJECTS } from "./catalogue.js";

export { NOTICE_KINDS, NOTICES, type NoticeKind } from "./catalogue.js";

export const SUBJECT_KINDS = Object.keys(SUBJECTS) as NoticeSubject[];

declareEnum(NOTICE_KINDS, {
  name: "NoticeKind",
  description: "What a notice tells of",
  meanings: Object.fromEntries(NOTICE_KINDS.map((kind) => [kind, NOTICES[kind].meaning])) as Record<NoticeKind, string>,
});

declareEnum(SUBJECT_KINDS, {
  name: "NoticeSubjectKind",
  description: "What a notice refers to",
  meanings: {
    run: "One of your runs, or a run beside it",
    pack: "A pack that you registered, or of which you have a specimen or a result",
    account: "Your account",
    webhook: "Where notices are sent",
    "mail-address": "Where notices are mailed to",
  },
});

@ObjectType("NoticeSubject", { description: "What a notice refers to, and where it is" })
export class NoticeSubjectView {
  @EnumField(SUBJECT_KINDS, { description: "Sort of thing" })
  kind: NoticeSubject;

  @IdField({ description: "Names the thing among its sort" })
  id: string;

  @StringField({ description: "Path of it in the REST API", max: 200 })
  href: string;
}

@ObjectType("Notice", { description: "Something that happened to what is yours" })
export class NoticeView {
  @IdField({ description: "Names the notice, to mark it as read" })
  id: string;

  @EnumField(NOTICE_KINDS, { description: "What it tells of" })
  kind: NoticeKind;

  @StringField({ description: "One line for a list", max: 120 })
  title: string;

  @StringField({
    description: "What happened and what can be done, in the words of the service",
    max: 2_000,
  })
  text: string;

  @StringField({
    description: "Why, in the words of whoever did it; null where nobody gave a reason, or it was erased",
    max: 4_000,
    optional: true,
  })
  reason: string | null;

  @ObjectField(() => NoticeSubjectView, { description: "What it refers to" })
  subject: NoticeSubjectView;

  @DateTimeField({ description: "When it happened" })
  createdAt: string;

  @DateTimeField({ description: "When it was marked as read; null while it is unread", optional: true })
  readAt: string | null;
}

@ApiSchema({ name: "NoticeList" })
export class NoticeList {
  @ApiProperty({ type: () => NoticeView, isArray: true, description: "The items of this page" })
  items: NoticeView[];

  @ApiProperty({ type: () => PageInfo, description: "Cursors of the page" })
  pageInfo: PageInfo;

  @ApiProperty({ type: "integer", minimum: 0, description: "Unread notices of the whole list, whatever its filters" })
  unreadCount: number;
}

export const NoticeConnection = connectionOf(NoticeView, "Notice");

@ArgsType()
export class NoticesArgs extends PageArgs {
  @EnumField(NOTICE_KINDS, { description: "Only notices of this kind", optional: true })
  kind?: NoticeKind | null;

  @BooleanField({ description: "Only unread notices, or only read ones", optional: true, fromText: true })
  unread?: boolean | null;
}

export class NoticeChangeInput {
  @BooleanField({ description: "Whether it counts as read" })
  read: boolean;
}

@InputType({ description: "Which notices were read" })
export class ReadNoticesInput {
  @IdListField({ description: "Ids of notices; all of them when left out", optional: true })
  ids?: string[] | null;
}

@ObjectType("NoticeCount", { description: "How many notices are unread" })
export class NoticeCountView {
  @IntField({ description: "How many wait to be read, whatever their kind", min: 0, max: 2_147_483_647 })
  unreadCount: number;
}

@ObjectType("NoticeEvent", { description: "A new notice, or the present count where a stream begins" })
export class NoticeEventView extends NoticeCountView {
  @ObjectField(() => NoticeView, { description: "The new notice; null in the first event", optional: true })
  notice: NoticeView | null;
}

export class NoticeEventsQuery {
  @IntField({
    description: "How long the stream stays open, s; an hour when left out",
    min: 0,
    max: 3_600,
    optional: true,
    fromText: true,
  })
  seconds?: number | null;
}
