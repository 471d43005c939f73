// R2003 source
#define WING
