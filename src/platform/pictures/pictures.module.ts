import { Global, Module } from "@nestjs/common";
import { Pictures } from "./pictures.js";

@Global()
@Module({ providers: [Pictures], exports: [Pictures] })
export class PicturesModule {}
