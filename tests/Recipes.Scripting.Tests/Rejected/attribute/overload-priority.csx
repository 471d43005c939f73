// R2003
class C
{
    [System.Runtime.CompilerServices.OverloadResolutionPriority(1)]
    public void M() { }
}
