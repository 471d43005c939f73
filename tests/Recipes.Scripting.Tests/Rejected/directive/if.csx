// R2003 no-assembly
#if WING
Report.Note("x");
#endif
