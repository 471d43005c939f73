using System.Globalization;
using Recipes.Files;
using Serilog;
using Serilog.Core;
using Serilog.Debugging;
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
            .WriteTo.Console(new LogLines(withTime: false), verbose ? LogEventLevel.Debug : LogEventLevel.Fatal, standardErrorFromLevel: LogEventLevel.Verbose);
        if (UserFolders.State is { } state)
        {
            File = Path.Combine(state, $"recipes-{DateTime.Now.ToString("yyyyMMdd", CultureInfo.InvariantCulture)}.log");
            configuration = configuration.WriteTo.Sink(new TodaysFile(File), verbose ? LogEventLevel.Debug : LogEventLevel.Information);
        }

        Log.Logger = configuration.CreateLogger();
        return new Closing();
    }

    private sealed class Closing : IDisposable
    {
        public void Dispose() => Log.CloseAndFlush();
    }

    // Opened by its first event: most commands have none. The library's own file a day would compile an expression for its names first.
    private sealed class TodaysFile(string path) : ILogEventSink, IDisposable
    {
        private readonly Lazy<Logger> file = new(() =>
        {
            // Names of customers' files stand in it.
            OwnerOnly.CreateFolder(Path.GetDirectoryName(path)!);
            var logger = new LoggerConfiguration().MinimumLevel.Debug().WriteTo.File(new LogLines(withTime: true), path, shared: true).CreateLogger();
            RemoveOld(Path.GetDirectoryName(path)!);
            return logger;
        });

        public void Emit(LogEvent logEvent) => file.Value.Write(logEvent);

        public void Dispose()
        {
            if (file.IsValueCreated)
            {
                file.Value.Dispose();
            }
        }

        // By name, which is by day.
        private static void RemoveOld(string folder)
        {
            try
            {
                foreach (string old in Directory.GetFiles(folder, "recipes-????????.log").Order(StringComparer.Ordinal).SkipLast(DaysKept))
                {
                    System.IO.File.Delete(old);
                }
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                SelfLog.WriteLine("An old log stays: {0}", e);
            }
        }
    }
}
