using System.Diagnostics;

namespace Recipes.Worker;

/// <summary>Ends this process when its host is gone, so that a recipe that loops can't outlive a killed program.</summary>
internal static class HostWatch
{
    /// <summary>Starts watching; the request must have been read whole. The host writes nothing more, it only closes.</summary>
    public static void Start(Stream input)
    {
        var thread = new Thread(() =>
        {
            _ = input.ReadByte();
            // Not Exit: that would wait for finalizers, which may be a recipe's.
            Process.GetCurrentProcess().Kill();
        })
        {
            IsBackground = true,
        };
        thread.Start();
    }
}
