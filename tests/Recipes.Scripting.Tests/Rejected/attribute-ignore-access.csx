// R2003
namespace System.Runtime.CompilerServices
{
    class IgnoresAccessChecksToAttribute : Attribute
    {
        public IgnoresAccessChecksToAttribute(string name) { }
    }
}
