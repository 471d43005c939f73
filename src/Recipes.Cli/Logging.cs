using System.Globalization;
using Recipes.Hosting;
using Serilog;
using Serilog.Events;

namespace Recipes.Cli;

/// <summary>Serilog: warnings (everything with <c>--verbose</c>) to standard error, and a file a day in the user's state folder.</summary>
internal static class Logging
{
    private const int DaysKept = 14;

    /// <summary>Today's log file, or null where there is no state folder.</summary>
    public static string? File { get; private set; }

    public static IDisposable Start(bool verbose)
    {
        var configuration = new LoggerConfiguration().MinimumLevel.Debug()
            .WriteTo.Console(
                restrictedToMinimumLevel: verbose ? LogEventLevel.Debug : LogEventLevel.Fatal,
                standardErrorFromLevel: LogEventLevel.Verbose, formatProvider: CultureInfo.InvariantCulture,
                outputTemplate: verbose ? "{Level:u3} {Message:lj}{NewLine}{Exception}" : "{Message:lj}{NewLine}");
        if (UserFolders.State is { } state)
        {
            string path = Path.Combine(state, "recipes-.log");
            File = Path.Combine(state, $"recipes-{DateTime.Now.ToString("yyyyMMdd", CultureInfo.InvariantCulture)}.log");
            configuration = configuration.WriteTo.File(path, rollingInterval: RollingInterval.Day, retainedFileCountLimit: DaysKept, shared: true,
                restrictedToMinimumLevel: verbose ? LogEventLevel.Debug : LogEventLevel.Information, formatProvider: CultureInfo.InvariantCulture);
        }

        Log.Logger = configuration.CreateLogger();
        return new Closing();
    }

    private sealed class Closing : IDisposable
    {
        public void Dispose() => Log.CloseAndFlush();
    }
}
