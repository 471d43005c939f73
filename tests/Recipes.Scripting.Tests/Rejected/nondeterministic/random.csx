// R2002
int n = new Random().Next();
