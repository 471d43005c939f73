// R2003
unsafe struct Wing
{
    public fixed int Feathers[4];
}
