// R2003
record M(int X)
{
    ~M() { }
}
