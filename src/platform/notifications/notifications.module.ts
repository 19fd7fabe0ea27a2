import { Global, Module } from "@nestjs/common";
import { Notifications } from "./notifications.js";

@Global()
@Module({ providers: [Notifications], exports: [Notifications] })
export class NotificationsModule {}
