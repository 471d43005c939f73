using System.Runtime.InteropServices;

namespace Recipes.Jail;

/// <summary><c>struct sock_fprog</c>, as seccomp(2) takes it.</summary>
[StructLayout(LayoutKind.Sequential)]
internal unsafe struct FilterProgram
{
    public ushort Length;
    public BpfInstruction* Instructions;

    public const nint SetModeFilter = 1, GetActionAvailable = 2, AllThreads = 1;

    /// <summary>The number of seccomp(2).</summary>
    public static nint SeccompNumber => SystemCall.Named("seccomp").On(RuntimeInformation.ProcessArchitecture)!.Value;
}
