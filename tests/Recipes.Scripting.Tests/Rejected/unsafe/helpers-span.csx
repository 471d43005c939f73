// R2002 source
System.Runtime.CompilerServices.RuntimeHelpers.EnsureSufficientExecutionStack();
