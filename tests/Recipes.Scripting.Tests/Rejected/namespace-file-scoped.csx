// R2003
namespace System;
class C { }
