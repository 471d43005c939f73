// R2003
#if WING
Report.Note("x");
#endif
