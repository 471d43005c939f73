// R2003 no-assembly
namespace System;
class C { }
