using System.Globalization;
using Recipes.Hosting.Words;
using Serilog.Events;
using Serilog.Formatting;
using Serilog.Formatting.Display;

namespace Recipes.Cli;

/// <summary>One event as one line, and its exceptions below it: what names and messages stand in it begins no line of its own.</summary>
/// <param name="withTime">True: when it was, for a file.</param>
internal sealed class LogLines(bool withTime) : ITextFormatter
{
    // Texts as they are, without quotes.
    private static readonly MessageTemplateTextFormatter Message = new("{Message:lj}", CultureInfo.InvariantCulture);

    /// <inheritdoc/>
    public void Format(LogEvent logEvent, TextWriter output)
    {
        string when = withTime ? logEvent.Timestamp.ToString("yyyy-MM-dd HH:mm:ss.fff zzz ", CultureInfo.InvariantCulture) : "";
        using var message = new StringWriter();
        Message.Format(logEvent, message);
        output.WriteLine(CleanText.OneLine($"{when}{logEvent.Level}: {message}"));
        for (var e = logEvent.Exception; e is not null; e = e.InnerException)
        {
            output.WriteLine(CleanText.OneLine($"  {e.GetType()}: {e.Message}"));
            foreach (string frame in (e.StackTrace ?? "").Split('\n', StringSplitOptions.RemoveEmptyEntries))
            {
                output.WriteLine(CleanText.OneLine(frame.TrimEnd()));
            }
        }
    }
}
