# Sends every new line of a growing file of JSON lines, as bay software on Windows may write one.
#   powershell -File send.ps1 -File C:\bay\shots.ndjson
# A line counts once its end is written. A file that is shorter than before was begun anew.
# Sending is safe to repeat: what is stored already counts as a duplicate.
param(
    [Parameter(Mandatory = $true)][string]$File,
    [string]$Service = 'http://127.0.0.1:8417',
    [int]$EverySeconds = 2
)
$ErrorActionPreference = 'Stop'
$most = 4MB
[long]$sent = 0
while ($true) {
    $whole = 0
    try {
        # Its writer may go on writing, and may move it away.
        $stream = [System.IO.File]::Open($File, 'Open', 'Read', 'ReadWrite, Delete')
        try {
            if ($stream.Length -lt $sent) { $sent = 0 }
            [void]$stream.Seek($sent, 'Begin')
            $bytes = New-Object byte[] ([int][Math]::Min($most, $stream.Length - $sent))
            $count = $stream.Read($bytes, 0, $bytes.Length)
        } finally {
            $stream.Dispose()
        }
        # The mark that some editors put first is no JSON; blanks are.
        if ($sent -eq 0 -and $count -gt 2 -and $bytes[0] -eq 0xEF) { $bytes[0] = $bytes[1] = $bytes[2] = 0x20 }
        if ($count -gt 0) { $whole = [Array]::LastIndexOf($bytes, [byte]10, $count - 1) + 1 }
        if ($whole -gt 0) {
            $body = New-Object byte[] $whole
            [Array]::Copy($bytes, $body, $whole)
            $told = Invoke-RestMethod -Method Post -Uri "$Service/v1/shots" -ContentType 'application/x-ndjson' -Body $body
            $sent += $whole
            Write-Output ('{0} accepted, {1} known, {2} refused' -f $told.accepted, $told.duplicates, $told.refused)
            foreach ($refusal in $told.refusals) {
                Write-Warning ('{0} {1}: {2}' -f $refusal.source, $refusal.id, ($refusal.errors.detail -join '; '))
            }
        }
    } catch {
        $whole = 0
        Write-Warning ('not sent, trying again: {0}' -f $_.Exception.Message)
    }
    # There may be more at once when a part was full.
    if ($whole -eq 0 -or $count -lt $most) { Start-Sleep -Seconds $EverySeconds }
}
