// R2003
namespace System.Evil
{
    class C { }
}
