// R2002
class M
{
    public void Go() => base.MemberwiseClone();
}
