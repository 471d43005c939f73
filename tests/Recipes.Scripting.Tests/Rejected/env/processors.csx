// R2002
int cores = Environment.ProcessorCount;
