// R2003 no-assembly
#define WING
